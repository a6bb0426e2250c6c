"""From a rule to SQL: one ``SELECT`` for every way new rows can make it fire.

The text keeps to what SQLite, DuckDB and Spark SQL have in common.  A class is a table with the
column ``s``, a property one with ``s`` and ``o``; every row keeps the ``step`` in which it first
appeared, and in a transitive property whether it is ``base``, not made by transitivity.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple

from rdflib.namespace import OWL, RDF
from rdflib.term import Node

from glost.reason.labels import Labels
from glost.reason.rules import Atom, FactRule, Term, Var

Code = Callable[[Node], int]


class SqlTable(NamedTuple):
    """A class, or a property where ``cls`` is ``None``."""

    link: Node
    cls: Node | None = None

    @property
    def columns(self) -> tuple[str, ...]:
        """The columns that hold its terms."""
        return ("s",) if self.cls is not None else ("s", "o")


SAME = SqlTable(OWL.sameAs)
_TYPE = RDF.type
"""Looked up once: rdflib takes long over it."""


def relation(atom: Atom) -> SqlTable:
    """Return the table a pattern is about."""
    if atom.p == _TYPE:
        return SqlTable(_TYPE, atom.o)  # type: ignore[arg-type]
    return SqlTable(atom.p)  # type: ignore[arg-type]


def arguments(atom: Atom) -> tuple[Term, ...]:
    """Return the terms that stand in the table's columns."""
    return (atom.s,) if atom.p == _TYPE else (atom.s, atom.o)


def table_names(relations: Iterable[SqlTable], labels: Labels) -> dict[SqlTable, str]:
    """Name the tables after what they hold: ``a_Shape``, ``p_onShape``.

    Two that would have the same name, upper and lower case aside, are told apart by a number.
    """
    names: dict[SqlTable, str] = {}
    taken: set[str] = set()

    def plain(rel: SqlTable) -> tuple[str, str]:
        term = rel.link if rel.cls is None else rel.cls
        return ("p" if rel.cls is None else "a"), re.sub(r"\W+", "_", labels(term))

    for rel in sorted(relations, key=lambda r: (plain(r), str(r.link), str(r.cls))):
        name = wanted = "_".join(plain(rel))
        number = 1
        while name.lower() in taken:
            number += 1
            name = f"{wanted}_{number}"
        taken.add(name.lower())
        names[rel] = name
    return names


class Window(NamedTuple):
    """Which rows a pattern may use: those after a step, or those up to it."""

    newer: bool
    step: int

    def condition(self, alias: str) -> str:
        """Return it as SQL."""
        return f"{alias}.step {'>' if self.newer else '<='} {self.step}"


class Source(NamedTuple):
    """The tables of a rule joined: where each variable stands, ``FROM`` and the conditions."""

    place: dict[Var, str]
    tables: list[str]
    where: list[str]

    def sql(self, columns: str) -> str:
        """Return the whole ``SELECT``."""
        text = f"SELECT {columns} FROM {', '.join(self.tables)}"
        return f"{text} WHERE {' AND '.join(self.where)}" if self.where else text


def join(
    rule: FactRule,
    names: Mapping[SqlTable, str],
    code: Code,
    windows: Sequence[Window | None] | None = None,
) -> Source:
    """Join the tables of a rule's body.

    Parameters
    ----------
    rule
        The rule; a pattern with ``owl:sameAs`` becomes an equation, since all names of a thing
        have one code by then.
    names
        Table of each relation.
    code
        Gives the code of a constant.
    windows
        For each pattern, the rows it may use.

    Returns
    -------
    Source
        Ready for a ``SELECT`` list.
    """
    place: dict[Var, str] = {}
    tables: list[str] = []
    where: list[str] = []
    for i, atom in enumerate(rule.body):
        if relation(atom) == SAME:
            continue
        alias = f"t{i}"
        tables.append(f"{names[relation(atom)]} {alias}")
        for column, term in zip(relation(atom).columns, arguments(atom), strict=True):
            here = f"{alias}.{column}"
            if not isinstance(term, Var):
                where.append(f"{here} = {code(term)}")
            elif place.setdefault(term, here) != here:
                where.append(f"{here} = {place[term]}")
        if windows and (window := windows[i]):
            where.append(window.condition(alias))
    for atom in rule.body:
        if relation(atom) == SAME:
            where.append(f"{place[atom.s]} = {place[atom.o]}")  # type: ignore[index]
    return Source(place, tables, where)


def firing_windows(
    body: Sequence[Atom], since: int, newest: Mapping[SqlTable, int]
) -> list[list[Window | None] | None]:
    """Return the windows that together see each new combination of rows once.

    Parameters
    ----------
    body
        The patterns of a rule.
    since
        The step the rule last ran at; 0 if never.
    newest
        The last step that added to each relation.

    Returns
    -------
    list
        One entry for each ``SELECT`` to run.

    References
    ----------
    Bancilhon and Ramakrishnan, "An amateur's introduction to recursive query processing
    strategies", 1986 (semi-naive evaluation).
    """
    if since == 0:
        return [None]
    old, new = Window(False, since), Window(True, since)
    return [
        [*([old] * i), new, *([None] * (len(body) - i - 1))]
        for i, atom in enumerate(body)
        if newest.get(relation(atom), 0) > since
    ]


def _subject_may_be_literal(rule: FactRule) -> bool:
    """Tell whether the head's subject comes only from where a literal may stand."""
    head = rule.head
    if head is None or not isinstance(head.s, Var):
        return False
    return not any(a.s == head.s for a in rule.body)


def conclusions(
    rule: FactRule,
    names: Mapping[SqlTable, str],
    code: Code,
    windows: Sequence[Window | None] | None = None,
    condition: str = "",
) -> str:
    """Return the ``SELECT`` of what a rule concludes; literals never become subjects."""
    if rule.head is None:
        raise ValueError(f"{rule.name} concludes nothing")
    source = join(rule, names, code, windows)
    listed = []
    for column, term in zip(("s", "o"), arguments(rule.head), strict=False):
        value = source.place[term] if isinstance(term, Var) else str(code(term))
        listed.append(f"{value} AS {column}")
    if _subject_may_be_literal(rule):
        source.where.append(f"{source.place[rule.head.s]} >= 0")  # type: ignore[index]
    if condition:
        source.where.append(condition)
    return source.sql(", ".join(listed))


def equations(
    rule: FactRule,
    names: Mapping[SqlTable, str],
    code: Code,
    since: int,
    newest: Mapping[SqlTable, int],
) -> list[str]:
    """Return the ``SELECT``\\ s of the pairs of names that a rule equates.

    ``prp-fp`` and ``prp-ifp`` pair each value with the least of its group instead of all with
    all.  Two literals, or a name and a literal, are not equated: they are looked for among the
    clashes.
    """
    head = rule.head
    if head is None:
        raise ValueError(f"{rule.name} concludes nothing")
    if rule.name in ("prp-fp", "prp-ifp"):
        return [grouped(rule, names, "value >= 0")]
    selects = []
    for windows in firing_windows(rule.body, since, newest):
        source = join(rule, names, code, windows)
        x, y = source.place[head.s], source.place[head.o]  # type: ignore[index]
        source.where.append(f"{x} < {y} AND {x} >= 0")
        selects.append(source.sql(f"DISTINCT {x} AS x, {y} AS y"))
    return selects


def grouped(rule: FactRule, names: Mapping[SqlTable, str], which: str, having: str = "") -> str:
    """Return the ``SELECT`` that pairs each value of a (inverse) functional property.

    Parameters
    ----------
    rule
        A rule ``prp-fp`` or ``prp-ifp``.
    names
        Table of each relation.
    which
        A condition on ``value``: the rows to look at.
    having
        A further condition on the group.

    Returns
    -------
    str
        Columns ``k`` (what the values belong to), ``x`` (the least value), ``y`` (another).
    """
    first, second = rule.body[:2]
    key, value = ("s", "o") if first.s == second.s else ("o", "s")
    rows = f"(SELECT {key} AS k, {value} AS value FROM {names[relation(first)]})"
    return (
        f"SELECT t.k AS k, g.least AS x, t.value AS y FROM {rows} t JOIN ("
        f"SELECT k, min(value) AS least FROM {rows} WHERE {which} "
        f"GROUP BY k HAVING count(*) > 1{having}) g "
        f"ON t.k = g.k WHERE {which} AND t.value <> g.least"
    )
