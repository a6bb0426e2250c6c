"""The report of a thing, made part by part: which parts depends on where it is shown."""

from collections.abc import Callable, Iterable, Iterator
from typing import TypeAlias

from rdflib import URIRef

from glost.record.spelling import id_of
from glost.report.kinds import kind
from glost.report.things import (
    conflicts,
    dates,
    inferred,
    items,
    related,
    statements,
    withdrawn,
)
from glost.report.things.basis import ThingBasis, kinds
from glost.report.things.cautions import cautions
from glost.report.things.exhibits import exhibits
from glost.report.things.lead import lead
from glost.report.things.said import Said
from glost.report.tree import Group, Report, Section, Statement
from glost.words.labels import heading

Maker: TypeAlias = Callable[[ThingBasis, Said, URIRef, tuple[str, ...]], Iterable[Section]]


def _statements(
    basis: ThingBasis, said: Said, thing: URIRef, _: tuple[str, ...]
) -> Iterable[Section]:
    return statements.said_of(basis, said, thing, conflicts.disputed(basis, said, thing))


OWN: tuple[Maker, ...] = (
    lambda b, s, t, _: [dates.dates(b, s, t)],
    _statements,
    lambda b, s, t, _: conflicts.conflicts(b, s, t),
    lambda b, s, t, _: items.items(b, s, t),
    lambda b, s, t, _: inferred.inferred(b, s, t),
    lambda b, s, t, _: withdrawn.withdrawn(b, s, t),
)
"""What is said of it, and what follows."""
SHORT: tuple[Maker, ...] = (
    *OWN,
    lambda b, s, t, _: related.related(b, s, t, only=related.COMPARED),
)
"""The parts of what is printed quickly: with what it was compared with, too."""
SHORT_WITH_NAMED: tuple[Maker, ...] = (
    *OWN,
    lambda b, s, t, _: related.related(b, s, t),
    lambda b, s, t, _: related.resting(b, s, t),
)
"""The same with all that refers to it."""


def report_of(
    basis: ThingBasis,
    thing: URIRef,
    parts: Iterable[Maker] = SHORT,
    said: Said | None = None,
    *,
    shown: bool = False,
    warned: str | None = "",
) -> Report:
    """Make the report of a thing.

    Parameters
    ----------
    basis
        The collection.
    thing
        What the report is about; see `glost.answer.showing.find_thing`.
    parts
        What it has besides its first sentences and cautions: `SHORT`, or those of
        `glost.report.things.full`.
    said
        What words statements, if there is one already.
    shown
        Whether it has exhibits.
    warned
        Whether cautions stand in it in full, empty; the address of a page where they do; or None
        for none.

    Returns
    -------
    Report
        Every claim about the thing is under some statement of it, withdrawn ones too.
    """
    said = said or Said(basis)
    said.about = str(thing)
    of = kinds(basis.belief, str(thing))
    sections = [s for make in parts for s in make(basis, said, thing, of) if s.parts]
    settings = basis.snapshot.collection
    made = Report(
        str(thing),
        heading(thing, basis.words, basis.times),
        lead(basis, said, thing, of),
        tuple(sections),
        exhibits(basis, said, thing) if shown else (),
        () if warned is None else cautions(of, warned),
        kind(id_of(str(thing)).partition("/")[0]).one,
        settings.title,
        settings.licence,
    )
    rest = tuple(_rest(basis, said, thing, made))
    return _with(made, rest) if rest else made


def _rest(basis: ThingBasis, said: Said, thing: URIRef, made: Report) -> Iterator[Statement]:
    """Tell the claims about a thing under no other statement, such as that it is of a kind."""
    there = {claim.iri for claim in made.claims}
    for claim in basis.about(str(thing)):
        if str(claim.iri) not in there:
            sentence = said.says(claim.statements)
            if sentence:
                yield Statement(sentence, said.grounds([claim]))


def _with(made: Report, rest: tuple[Statement, ...]) -> Report:
    section = Section("recorded", "Also recorded", (Group(rest),), folded=True)
    return Report(
        made.iri, made.heading, made.lead, (*made.sections, section), made.exhibits,
        made.cautions, made.kind, made.collection, made.licence,
    )  # fmt: skip
