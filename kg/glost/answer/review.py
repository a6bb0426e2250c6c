"""Candidates put before a person, the most uncertain first, and what the person says of them.

What is said becomes rows of the table ``links``, entered like any others: yes, no, and that it
could not be told (later). Nothing is made one.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TypeAlias
from urllib.parse import unquote

from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.record.claims import Claim, Passage
from glost.record.entering import Draft, Entered, Row, draft, enter
from glost.record.images import FOLDER
from glost.record.record import Record
from glost.record.tables import tables
from glost.record.templates import compiled
from glost.trade.linking.candidates import Match
from glost.trade.linking.links import LinkKind, Standing
from glost.words.labels import label
from glost.words.sentences import side

Rows: TypeAlias = dict[str, list[Row]]
"""Rows by table."""


class PairAnswer(StrEnum):
    """What a person says of a candidate."""

    YES = "yes"
    """The two are one."""
    NO = "no"
    """They are two; they are not proposed again."""
    LATER = "later"
    """It cannot be told yet; they are proposed again, after all others."""
    PART = "part of"
    """The one is part of the other."""
    CONTINUES = "continues"
    """The one goes on where the other ended."""

    @property
    def kind(self) -> LinkKind:
        """The kind of link that says so."""
        return _KINDS[self]


_KINDS = {
    PairAnswer.YES: LinkKind.SAME,
    PairAnswer.NO: LinkKind.NOT_THE_SAME,
    PairAnswer.LATER: LinkKind.UNDECIDED,
    PairAnswer.PART: LinkKind.PART_OF,
    PairAnswer.CONTINUES: LinkKind.CONTINUES,
}


@dataclass(frozen=True, slots=True)
class Pictured:
    """Where a thing can be seen.

    Attributes
    ----------
    file
        The image, relative to the collection's folder: ``images/p7.png``.
    region
        The part of it, ``xywh=10,20,300,40``; empty for all of it.
    claim
        The claim that rests on it or names it.
    """

    file: str
    region: str
    claim: Claim


@dataclass(frozen=True, slots=True)
class ReviewedThing:
    """One of the two things of a candidate.

    Attributes
    ----------
    iri, name
        The thing, and what it is called in its collection.
    folder
        The folder of its collection.
    claims
        The claims about it, by file and row.
    says
        What each of them says, with its source, file and row.
    pictures
        Where it can be seen: images of it, then parts of pages on which claims about it rest.
    """

    iri: URIRef
    name: str
    folder: Path
    claims: tuple[Claim, ...]
    says: tuple[str, ...]
    pictures: tuple[Pictured, ...]


@dataclass(frozen=True, slots=True)
class ReviewPair:
    """A pair that a person is to look at.

    Attributes
    ----------
    match
        The pair, with its probability and what speaks for and against it.
    one, other
        The two.
    """

    match: Match
    one: ReviewedThing
    other: ReviewedThing

    @property
    def why(self) -> str:
        """What speaks for it and against it, in words."""
        return "; ".join(f"{each.meaning} ({each.bits:+.1f})" for each in self.match.reasons)

    @property
    def key(self) -> str:
        """A name for the pair, the same whichever of the two is named first."""
        return " ".join(sorted((str(self.match.one), str(self.match.other))))


@dataclass(frozen=True, slots=True)
class Reviewed:
    """What a person says of two things.

    Attributes
    ----------
    one, other
        The two.
    answer
        What is said.
    evidence
        What speaks for it, in words.
    certainty
        How sure they are: a term of the certainty scheme; empty if not said.
    note
        A remark.
    """

    one: URIRef
    other: URIRef
    answer: PairAnswer
    evidence: str = ""
    certainty: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Sitting:
    """Who reviews, when, and on what source their answers rest.

    Attributes
    ----------
    by
        Who.
    on
        The day, ``YYYY-MM-DD``.
    source
        Id of the source on which the answers rest. Empty for the comparison itself: a source of its
        own, by this person in this year, which is described with the first answer.
    """

    by: str
    on: str
    source: str = ""

    @property
    def resting_on(self) -> str:
        """Id of the source."""
        if self.source:
            return self.source
        name = re.sub(r"[^a-z0-9]+", "-", self.by.casefold()).strip("-") or "unnamed"
        return f"comparison-{name}-{self.on[:4]}"

    def described(self) -> Row:
        """Return the row that describes the comparison as a source."""
        title = f"[Comparison by {self.by}, {self.on[:4]}]" if self.by else "[Comparison]"
        return {
            "source": self.resting_on,
            "title": title,
            "kind": "comparison",
            "date": self.on[:4],
            "author": self.by,
            "recorded_by": self.by,
            "recorded_on": self.on,
        }


def candidates(
    matches: Iterable[Match], snapshot: Snapshot, beside: Snapshot | None = None
) -> tuple[ReviewPair, ...]:
    """Put what is not decided yet in the order in which a person should look at it.

    Parameters
    ----------
    matches
        Pairs that may be the same; see `glost.answer.alike`.
    snapshot, beside
        The collection of the one and of the other; None if it is the same.

    Returns
    -------
    tuple of ReviewPair
        The most uncertain first, for there a look tells most; what was looked at and left open
        comes last.
    """
    other = beside or snapshot
    return tuple(
        ReviewPair(m, _subject(m.one, snapshot), _subject(m.other, other))
        for m in in_order(matches)
    )


def in_order(matches: Iterable[Match]) -> list[Match]:
    """Return what is not decided yet in the order of `candidates`."""
    undecided = [m for m in matches if m.standing in (Standing.OPEN, Standing.UNDECIDED)]
    return sorted(
        undecided,
        key=lambda m: (m.standing is not Standing.OPEN, abs(m.probability - 0.5), m.one, m.other),
    )


def rows(record: Record, said: Sequence[Reviewed], sitting: Sitting) -> Rows:
    """Return the rows that answers become: of links, and of the source if it is not described yet.

    Parameters
    ----------
    record
        The collection that they are to be entered into.
    said
        The answers.
    sitting
        Who gives them, when, and on what source.
    """
    found: Rows = {"links": [_row(record, each, sitting) for each in said]}
    source = sitting.resting_on
    if not sitting.source and source not in record.ids.get("source", ()):
        found["sources"] = [sitting.described()]
    return found


def drafted(record: Record, said: Sequence[Reviewed], sitting: Sitting) -> Draft:
    """Check answers without entering them; see `glost.record.entering.draft`."""
    return draft(record, rows(record, said, sitting))


def entered(record: Record, said: Sequence[Reviewed], sitting: Sitting) -> Entered:
    """Enter answers as links, all or none.

    Parameters
    ----------
    record, said, sitting
        As for `rows`.

    Raises
    ------
    glost.record.errors.RecordErrors
        As for `glost.record.entering.enter`.
    """
    return enter(record, rows(record, said, sitting))


def _row(record: Record, said: Reviewed, sitting: Sitting) -> Row:
    ends: dict[str, str] = {}
    for name, iri in (("one", said.one), ("other", said.other)):
        ends |= cell(record.base, name, iri)
    given = {
        "kind": str(said.answer.kind),
        "evidence": said.evidence,
        "source": sitting.resting_on,
        "certainty": said.certainty,
        "recorded_by": sitting.by,
        "recorded_on": sitting.on,
        "note": said.note,
    }
    return {**ends, **{name: value for name, value in given.items() if value}}


def cell(base: str, name: str, iri: URIRef) -> Mapping[str, str]:
    """Return the cell of a row of ``links`` that names a thing: here as kind/id, or elsewhere.

    Parameters
    ----------
    base
        The collection's base IRI.
    name
        ``one`` or ``other``.
    iri
        The thing.
    """
    own = str(iri).removeprefix(base)
    template = compiled(tables()["links"].column(name).value, base)
    if iri.startswith(base) and template.expand({name: own}) == str(iri):
        return {name: own}
    return {f"{name}_elsewhere": str(iri)}


def _subject(iri: URIRef, snapshot: Snapshot) -> ReviewedThing:
    claims = sorted(snapshot.belief.about(iri), key=lambda c: (c.origin.file, c.origin.row, c.iri))
    shown = [*_own(iri, snapshot), *_pages(claims, snapshot)]
    return ReviewedThing(
        iri,
        label(iri, snapshot.words),
        snapshot.path,
        tuple(claims),
        tuple(_said(claim, snapshot) for claim in claims),
        tuple({(each.file, each.region): each for each in reversed(shown)}.values())[::-1],
    )


def _said(claim: Claim, snapshot: Snapshot) -> str:
    told = side(claim, snapshot.words)
    place = ", ".join(part for part in (told.source, told.passage) if part)
    return f"{told.says} ({place}; {told.read_from})"


def _own(iri: URIRef, snapshot: Snapshot) -> Iterable[Pictured]:
    for value, claims in snapshot.belief.said(iri, GLOST.image):
        yield Pictured(_file(str(value), snapshot.record.base), "", claims[0])


def _pages(claims: Iterable[Claim], snapshot: Snapshot) -> Iterable[Pictured]:
    """Yield the parts of pages on which claims rest."""
    for claim in claims:
        file, region = page_of(claim.passage, snapshot)
        if file:
            yield Pictured(file, region, claim)


def page_of(passage: Passage, snapshot: Snapshot) -> tuple[str, str]:
    """Return the image on which a passage is marked, and its region; empty if there is none."""
    named, _, region = passage.region.rpartition("#")
    if "xywh=" not in region:
        return "", ""
    if named:
        return f"{FOLDER}/{named}", region
    own = snapshot.belief.values(passage.source, GLOST.image)
    return (_file(str(own[0]), snapshot.record.base), region) if len(own) == 1 else ("", "")


def _file(value: str, base: str) -> str:
    return unquote(value).removeprefix(base)
