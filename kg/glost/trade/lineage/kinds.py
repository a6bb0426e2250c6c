"""What was first of its kind: the first tunnel kiln, the first octagonal shape."""

from rdflib import URIRef
from rdflib.namespace import RDF
from rdflib.term import Node

from glost.record.claims import Claim
from glost.record.errors import RecordError, RecordErrors, suggestion
from glost.record.tables import TableDescription, kinds
from glost.trade.lineage.graph import Lineage
from glost.trade.lineage.kin import firsts, undated
from glost.trade.lineage.lines import LineageRow, begins, bounding, in_dispute
from glost.trade.times import Chronology
from glost.words.labels import label


def first_lines(
    lineage: Lineage, times: Chronology, kind: str, column: str = "", text: str = ""
) -> tuple[LineageRow, ...]:
    """Tell which things of a kind were first, or may have been.

    Parameters
    ----------
    lineage
        For the belief and the words.
    times
        When things began.
    kind
        The kind: ``shape``, ``kiln``.
    column, text
        Only those of which a claim gives, in that column of the kind's table, something that has
        the text in it, whatever its case: ``rim``, ``octagonal``. Empty for all.

    Returns
    -------
    tuple of LineageRow
        In the order of their beginnings, each with the claims that bound the beginning and that
        make it one of the kind.

    Raises
    ------
    RecordErrors
        If there is no such kind of things that begin, or its table has no such column.
    """
    table = _table(kind)
    made = _of_kind(lineage, table, column, text)

    def begin(each: URIRef) -> tuple[int | None, int | None]:
        return begins(times, each)

    without = undated(made, begin)
    what = f"{kind} whose {column} is said to be {text}" if text else kind
    found = []
    for first in firsts(lineage, made, begin):
        words = f"first {what}: {first.verdict}"
        if without:
            words += f", of those dated ({len(without)} not dated)"
        words += in_dispute(times, first.thing)
        claims = [*made[first.thing], *bounding(times, first.thing, late=first.certain)]
        if first.certain:
            for each in made:
                if each not in (first.thing, *without):
                    claims += bounding(times, each, late=False)
        line = LineageRow(
            "first", first.thing, words, 0, first.certain, tuple(dict.fromkeys(claims))
        )
        found.append(line)
    return tuple(found)


def _table(kind: str) -> TableDescription:
    known = {n: t for n, t in kinds().items() if any(c.name == "begin" for c in t.columns)}
    if kind not in known:
        remedy = suggestion(kind, known, f"there are {', '.join(sorted(known))}")
        raise RecordErrors(
            [RecordError("--first", f'there is no kind "{kind}" of things that begin', remedy)]
        )
    return known[kind]


def _of_kind(
    lineage: Lineage, table: TableDescription, column: str, text: str
) -> dict[URIRef, tuple[Claim, ...]]:
    """Return the things of a kind that a column says something of, with the claims that say it."""
    facts = lineage.belief.graph
    things = set(facts.subjects(RDF.type, URIRef(table.column("type").value)))
    named = sorted(each for each in things if isinstance(each, URIRef))
    if not text:
        return dict.fromkeys(named, ())
    columns = {each.name: each for each in table.columns if each.property and not each.virtual}
    if column not in columns:
        remedy = suggestion(column, columns, f"it has {', '.join(sorted(columns))}")
        message = f'the table {table.name} has no column "{column}" to look in'
        raise RecordErrors([RecordError("--first", message, remedy)])
    property_ = URIRef(columns[column].property)
    found: dict[URIRef, tuple[Claim, ...]] = {}
    for each in named:
        for value in sorted(facts.objects(each, property_), key=str):
            if text.casefold() in _words(value, lineage):
                claims = lineage.belief.rests_on((each, property_, value))
                found[each] = (*found.get(each, ()), *claims)
    return found


def _words(value: Node, lineage: Lineage) -> str:
    slug = str(value).rsplit("/", 1)[-1] if isinstance(value, URIRef) else ""
    return f"{label(value, lineage.words)} {slug}".casefold()
