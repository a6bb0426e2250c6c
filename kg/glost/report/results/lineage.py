"""Ties of descent, likeness and substitution, and which thing came first."""

from collections.abc import Sequence

from glost.report.things.said import Said
from glost.report.tree import Column, Group, Report, Row, Rule, Section, Statement, Table
from glost.trade.lineage import LineageRow

_COLUMNS = (
    *(Column("what", "what"), Column("thing", "thing", "thing"), Column("tie", "tie")),
    *(Column("sure", "sure", "verdict"), Column("by", "by"), Column("iri", "", aside=True)),
)
_NOTHING = Rule("The record names no such tie")


def told(heading: str, lines: Sequence[LineageRow], said: Said, iri: str = "") -> Report:
    """Tell ties as a table, in section ``ties``."""
    if not lines:
        nothing = Statement(("Nothing of the kind is recorded.",), (_NOTHING,))
        return Report(iri, heading, sections=(Section("ties", "Ties", (Group((nothing,)),)),))
    rows = tuple(
        Row(
            (each.what, said.ref(each.thing), each.words, "yes" if each.sure else "no",
             said.by(each.claims), str(each.thing)),
            said.passages(each.claims) or (_NOTHING,),
        )
        for each in lines
    )  # fmt: skip
    return Report(iri, heading, sections=(Section("ties", "Ties", (Table(_COLUMNS, rows),)),))
