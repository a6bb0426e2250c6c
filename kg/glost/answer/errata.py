"""Errata: what was said in public and no longer holds, as findings and as a notice to print."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby

from rdflib import Graph

from glost.findings import Finding, Severity, Side
from glost.names import GLOST
from glost.record.claims import Claim, Triple
from glost.record.errata import Overtaken
from glost.record.spelling import runs
from glost.words.labels import Words
from glost.words.sentences import says, side


@dataclass(frozen=True, slots=True)
class Erratum:
    """One public statement to put right, in words.

    Attributes
    ----------
    statement, correction
        Ids for the errata table: of the public statement, and of the correction's claim.
    said_in, place
        Title of the talk, article or edition, and where in it; the place may be empty.
    wording
        What was said.
    withdrawn
        What of it no longer holds, in a sentence.
    now
        What holds now, in a sentence; empty if nothing took its place.
    reason
        Why it was corrected.
    evidence
        The source of the correction and the sources of what holds now, each with its place.
    done_on, done_in
        The day it was put right and where; empty as long as it is not.
    claims
        IRIs of all claims involved: the public statement's, the used one, the correction's, those
        that hold now, the erratum's.
    """

    statement: str
    correction: str
    said_in: str
    place: str
    wording: str
    withdrawn: str
    now: str
    reason: str
    evidence: tuple[str, ...]
    done_on: str
    done_in: str
    claims: tuple[str, ...]


def in_words(found: Iterable[Overtaken], graph: Graph | Words) -> tuple[Erratum, ...]:
    """Word public statements that corrections overtook, in the same order."""
    return tuple(_erratum(each, graph) for each in found)


def _erratum(each: Overtaken, graph: Graph | Words) -> Erratum:
    said = side(each.said, graph)
    new = [claim for claim in each.now if set(claim.statements) & set(each.instead)]
    rests = [side(claim, graph) for claim in (each.correction, *new)]
    done = side(each.done, graph) if each.done is not None else None
    claims = [each.said, each.used, each.correction, *each.now]
    claims += [each.done] if each.done is not None else []
    return Erratum(
        statement=str(each.statement).rsplit("/", 1)[-1],
        correction=each.correction.id,
        said_in=said.source,
        place=said.passage,
        wording=each.wording,
        withdrawn=_told(each.withdrawn, graph),
        now=_told(each.instead, graph),
        reason=each.reason,
        evidence=_places(rests),
        done_on=each.done_on,
        done_in=_place(done) if done is not None else "",
        claims=tuple(str(claim.iri) for claim in claims),
    )


def _told(triples: Iterable[Triple], graph: Graph | Words) -> str:
    """Say statements without what only lists an image or repeats the kind of thing."""
    return says([t for t in triples if t[1] != GLOST.image], graph)


def _places(told: Iterable[Side]) -> tuple[str, ...]:
    """Return each place once, and none that another one tells more exactly."""
    places = dict.fromkeys(map(_place, told))
    return tuple(
        place
        for place in places
        if not any(other.startswith((f"{place}, ", f"{place}; ")) for other in places)
    )


def _place(told: Side) -> str:
    return ", ".join(part for part in (told.source, told.passage) if part)


def errata_findings(found: Iterable[Overtaken], graph: Graph | Words) -> Iterator[Finding]:
    """Find the public statements that a correction overtook and no erratum has put right."""
    for each in found:
        if each.done is not None:
            continue
        told = _erratum(each, graph)
        where = ", ".join(part for part in (told.said_in, told.place) if part)
        ids = f"public_statement {told.statement}, correction {told.correction}"
        claims: tuple[Claim, ...] = (each.said, each.used, each.correction, *each.now)
        kind, message, remedy = (
            (
                "to-be-said-and-withdrawn",
                f"To be said in a talk, but withdrawn, in {where}: {told.wording}",
                "Change the words, or the claims it uses, before the talk is given.",
            )
            if each.to_come
            else (
                "erratum-not-published",
                f"Said in public and since withdrawn, in {where}: {told.wording}",
                "Put it right in public (glost errata --notice prints a text), then add a row "
                f"to tables/errata.csv: {ids}, with done_on and where.",
            )
        )
        yield Finding(
            kind=kind,
            severity=Severity.WARNING,
            about=(str(each.statement),),
            message=message,
            sides=tuple(side(claim, graph) for claim in claims),
            remedy=remedy,
        )


def column_findings(found: Iterable[tuple[Claim, str]], graph: Graph | Words) -> Iterator[Finding]:
    """Find the columns that public statements name and the rows they used do not have."""
    for claim, column in found:
        told = side(claim, graph)
        yield Finding(
            kind="used-column-unknown",
            severity=Severity.WARNING,
            about=(str(claim.iri),),
            message=f'The public statement names the column "{column}", which no row it used has, '
            "so no correction will find it by that.",
            sides=(told,),
            remedy="Name columns of the rows under used_columns, or leave it empty.",
        )


def notice(errata: Iterable[Erratum], title: str) -> str:
    """Write a notice of errata in Markdown.

    Parameters
    ----------
    errata
        What is to be put right.
    title
        Whose errata they are.

    Returns
    -------
    str
        For each talk, article or edition what was said, what holds now, and on what evidence.
    """
    lines = [f"# Errata: {title}", ""]
    ordered = sorted(errata, key=lambda each: (each.said_in, _order(each.place), each.statement))
    for said_in, group in groupby(ordered, key=lambda each: each.said_in):
        lines += [f"## {said_in}", ""]
        for number, each in enumerate(group, 1):
            lines += _entry(number, each)
    if not ordered:
        lines += ["Nothing that was said in public has been overtaken.", ""]
    return "\n".join(lines)


def _order(place: str) -> list[tuple[int, str]]:
    """Return what to sort places by, so that page 9 comes before page 10."""
    return [(int(run), "") if run.isdigit() else (-1, run) for run in runs(place)]


def _entry(number: int, each: Erratum) -> list[str]:
    where = f"At {each.place}: " if each.place else ""
    now = f"{each.now}." if each.now else "It is withdrawn; nothing takes its place."
    lines = [
        f"{number}. {where}“{each.wording}”",
        "",
        f"   No longer held: {each.withdrawn}.",
        "",
        f"   What holds now: {now}",
        "",
        f"   Evidence: {'; '.join(each.evidence)}. {each.reason}".rstrip(),
        "",
    ]
    if each.done_on:
        lines += [f"   Put right on {each.done_on}: {each.done_in}.", ""]
    return lines
