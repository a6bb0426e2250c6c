"""The report of a talk: what is shown in it, in order, each with its words and its evidence."""

from collections.abc import Iterator
from dataclasses import dataclass

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.names import GLOST
from glost.record.claims import Claim
from glost.record.errata import TALK, of_columns, to_come
from glost.report.things.basis import ThingBasis, place
from glost.report.things.exhibits import around, file_of, picture_of
from glost.report.things.said import Said
from glost.report.tree import Group, Picture, Report, Section, Statement
from glost.words.labels import label

_PICTURES = 3
"""So many pictures stand beside one another."""


@dataclass(frozen=True, slots=True)
class Shown:
    """Something that is shown in a talk.

    Attributes
    ----------
    statement
        The public statement.
    claim
        The row that says so.
    place
        Its place in the talk; None if none is given.
    wording
        What is said with it.
    about
        IRIs of what it tells of.
    uses
        The claims it uses, withdrawn ones too, by file and row.
    columns
        The columns of those rows that it uses; all of them if none is named.
    images
        IRIs of the pictures that are named for it.
    """

    statement: URIRef
    claim: Claim
    place: int | None
    wording: str
    about: tuple[URIRef, ...]
    uses: tuple[Claim, ...]
    columns: tuple[str, ...]
    images: tuple[URIRef, ...]


def talks(basis: ThingBasis) -> tuple[URIRef, ...]:
    """Return the sources that are talks, and those in which things are shown in order, sorted."""
    facts = basis.belief.graph
    found = set(facts.subjects(GLOST.sourceKind, TALK))
    for statement in facts.subjects(GLOST.placeInTalk):
        found |= set(facts.objects(statement, GLOST.saidIn))
    return tuple(sorted(URIRef(str(each)) for each in found))


def shown_in(basis: ThingBasis, talk: URIRef) -> tuple[Shown, ...]:
    """Return what is shown in a talk, in order; what has no place comes last."""
    facts = basis.belief.graph
    found = [
        _shown(basis, URIRef(str(statement)), talk)
        for statement in facts.subjects(GLOST.saidIn, talk)
        if (statement, RDF.type, GLOST.PublicStatement) in facts
    ]
    return tuple(sorted(found, key=lambda s: (s.place is None, s.place or 0, s.statement)))


def _shown(basis: ThingBasis, statement: URIRef, talk: URIRef) -> Shown:
    facts = basis.belief.graph

    def said(property_: URIRef) -> list[str]:
        return sorted(map(str, facts.objects(statement, property_)))

    places = sorted(map(int, said(GLOST.placeInTalk)))
    used = map(basis.snapshot.record.claim, map(URIRef, said(GLOST.usesClaim)))
    return Shown(
        statement,
        basis.belief.rests_on((statement, GLOST.saidIn, talk))[0],
        places[0] if places else None,
        " ".join(said(GLOST.saidSo)),
        tuple(map(URIRef, said(GLOST.tellsOf))),
        tuple(sorted(filter(None, used), key=place)),
        tuple(said(GLOST.usesColumn)),
        tuple(map(URIRef, said(GLOST.image))),
    )


def talk_report(basis: ThingBasis, talk: URIRef, said: Said) -> Report:
    """Make the report of a talk.

    Parameters
    ----------
    basis
        The collection.
    talk
        The talk: a source.
    said
        What words statements.
    """
    said.about = ""
    sections = tuple(
        Section(
            f"shown-{at}",
            f"{at}. {each.wording}",
            (*_pictures(basis, said, each), *_evidence(basis, said, each)),
        )
        for at, each in enumerate(shown_in(basis, talk), 1)
    )
    settings = basis.snapshot.collection
    return Report(
        str(talk),
        label(talk, basis.words),
        tuple(_when(basis, said, talk)),
        sections,
        kind="Talk",
        collection=settings.title,
        licence=settings.licence,
    )


def _when(basis: ThingBasis, said: Said, talk: URIRef) -> Iterator[Statement]:
    """Say when it was given, or that it is still to be."""
    rests = said.grounds(basis.about(str(talk)))
    dates = sorted(basis.belief.graph.objects(talk, GLOST.sourceDate), key=str)
    if rests and dates:
        yield Statement(("Given ", said.value(dates[0]), "."), rests)
    elif rests and to_come(talk, basis.belief):
        yield Statement(("Still to be given.",), rests)


def _evidence(basis: ThingBasis, said: Said, shown: Shown) -> Iterator[Group]:
    told = tuple(_told(basis, said, claim, shown.columns) for claim in shown.uses)
    if told:
        yield Group(told, ("Evidence",))


def _told(basis: ThingBasis, said: Said, claim: Claim, columns: tuple[str, ...]) -> Statement:
    """Say what is used of a claim, and whether all, some or none of that stands."""
    used = of_columns(claim, columns)
    gone = [t for t in used if basis.belief.against(claim.iri, t) is not None]
    status = "" if not gone else "withdrawn" if len(gone) == len(used) else "withdrawn in part"
    return Statement(said.says(used), said.grounds([claim]), status)


def _pictures(basis: ThingBasis, said: Said, shown: Shown) -> Iterator[Picture]:
    """Yield what is to be seen: the pictures named, else the parts of pages its evidence stands on.

    Where there is neither, pictures of what it tells of.
    """
    ways = (_named, _pages, _own)
    found = next(filter(None, (list(way(basis, said, shown)) for way in ways)), [])
    yield from found[:_PICTURES]


def _named(basis: ThingBasis, said: Said, shown: Shown) -> Iterator[Picture]:
    for image in shown.images:
        there = [claim for claim in shown.uses if _image(basis, claim) == image]
        box = around(there) if there else None
        yield Picture(file_of(image), shown.wording, box=box)


def _pages(basis: ThingBasis, said: Said, shown: Shown) -> Iterator[Picture]:
    for claim in shown.uses:
        image = _image(basis, claim) if "xywh=" in claim.passage.region else None
        if image is not None:
            rests = said.grounds([claim])
            where = Statement(
                (said.source(claim.passage.source), f" {claim.passage.locator}"), rests
            )
            yield Picture(file_of(image), shown.wording, box=around([claim]), caption=where)


def _own(basis: ThingBasis, said: Said, shown: Shown) -> Iterator[Picture]:
    for thing in shown.about:
        for image in sorted(basis.belief.graph.objects(thing, GLOST.image), key=str):
            rests = said.resting((thing, GLOST.image, image))
            caption = Statement((said.ref(thing),), rests)
            yield Picture(file_of(image), f"{said.ref(thing)}, a picture", caption=caption)


def _image(basis: ThingBasis, claim: Claim) -> URIRef | None:
    image = picture_of(basis.belief, claim.passage.source, claim.passage.region.rpartition("#")[0])
    return None if image is None else URIRef(str(image))
