"""Pairs that may be one: lines of two lists, or things of a kind."""

from collections.abc import Iterator, Sequence

from rdflib import Graph

from glost.report.tree import Column, Group, Part, Ref, Report, Row, Rule, Section, Statement, Table
from glost.trade.linking.candidates import Match, worded
from glost.trade.linking.links import Standing
from glost.words.english import count
from glost.words.labels import Words, label

_COMPARED = Rule("Compared column by column, by weights that stand in a file with their reasons")
_PAIRS = (
    *(Column("one", "one", "thing"), Column("other", "other", "thing")),
    *(Column("probability", "probability", "number"), Column("bits", "", "number", True)),
    *(Column("known", "known"), Column("why", "why"), Column("would_decide", "would decide")),
    *(Column("one_iri", "", aside=True), Column("other_iri", "", aside=True)),
)
_REASONS = (
    *(Column("compared", "compared"), Column("one", "one"), Column("other", "other")),
    *(Column("agrees", "agrees"), Column("bits", "bits", "number")),
)


def told(found: Sequence[Match], words: Sequence[Graph | Words], evidence: bool) -> Report:
    """Tell pairs.

    Parameters
    ----------
    found
        The pairs.
    words
        What the ones and the others are called.
    evidence
        Whether to tell of each pair everything that was compared.
    """
    rows = tuple(
        Row(
            (
                *_names(each, words), round(each.probability, 3), round(each.bits, 1), _known(each),
                "; ".join(f"{reason.meaning} ({reason.bits:+.1f})" for reason in each.reasons),
                _deciding(each), str(each.one), str(each.other),
            ),
            (_COMPARED,),
        )
        for each in found
    )  # fmt: skip
    accepted = sum(each.standing is Standing.ACCEPTED for each in found)
    known = f", {accepted} of them known" if accepted else ""
    text = f"{count(len(found), 'pair')}{known}; none is entered until somebody accepts it."
    many = Group((Statement((text,), (_COMPARED,)),))
    details = tuple(_compared(found, words)) if evidence else ()
    parts: tuple[Part, ...] = (Table(_PAIRS, rows), *details, many)
    return Report("", "What may be one", sections=(Section("pairs", "Pairs", parts),))


def _known(each: Match) -> str:
    return "" if each.standing is Standing.OPEN else str(each.standing)


def _deciding(each: Match) -> str:
    return "; ".join(worded()[column] for column in each.deciding)


def _names(each: Match, words: Sequence[Graph | Words]) -> tuple[Ref, Ref]:
    one, other = label(each.one, words[0]), label(each.other, words[1])
    return Ref(str(each.one), one), Ref(str(each.other), other)


def _compared(found: Sequence[Match], words: Sequence[Graph | Words]) -> Iterator[Table]:
    for each in found:
        one, other = _names(each, words)
        rows = tuple(
            Row((worded()[r.column], r.one, r.other, r.meaning, round(r.bits, 1)), (_COMPARED,))
            for r in each.reasons
        )
        decide = f" Would decide: {_deciding(each)}." if each.deciding else ""
        known = f", {_known(each)}" if _known(each) else ""
        heading = (one, " = ", other, f"? {each.probability:.2f}{known}{decide}")
        yield Table(_REASONS, rows, heading)
