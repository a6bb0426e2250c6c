"""Questions worked out again from what the example's rows say, without Glost, RDF or SPARQL.

`believed_rows` reads tables, corrections and table descriptions with Python's own csv and json; what
a row says are three texts. The two index cards that stand in a TriG file are written out here.
"""

from collections import defaultdict
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import pytest

from believed_rows import GLOST, believed, own_terms, statements
from glost.answer.snapshot import Snapshot

WEND = Path(__file__).resolve().parents[2] / "examples" / "wend-valley"
BASE = "https://example.org/wend/"
PUBLISHED = "https://w3id.org/glost/"
TIME = "http://www.w3.org/2006/time#"
TYPE = "http://www.w3.org/1999/02/22-rdf-syntax-ns#type"
Triple = tuple[str, str, str]
Said = tuple[dict[str, str], set[Triple]]
"""A row's own cells and what it says."""

CARD: Said = (
    {"source": "garrow-1961", "locator": "index cards, P", "certainty": "doubtful"},
    {
        (f"{BASE}shape/pellow", f"{GLOST}run", f"{BASE}shape/pellow#run"),
        (f"{BASE}shape/pellow#run", f"{TIME}hasBeginning", f"{BASE}shape/pellow#begin"),
        (f"{BASE}shape/pellow#begin", f"{GLOST}date", "1915~"),
    },
)


@pytest.fixture(scope="module")
def said() -> list[Said]:
    """What every row says that nobody has withdrawn, the archive's own terms put in place."""
    own = own_terms(BASE, WEND)
    found = [
        (
            {**row, "table": table},
            {(s, p, own.get(o, o)) for s, p, o in statements(BASE, table, row)},
        )
        for table, row in believed(WEND)
    ]
    return [*found, CARD]


@pytest.fixture(scope="module")
def facts(said: list[Said]) -> dict[str, dict[str, set[str]]]:
    """Everything said, by property and by what it is said of."""
    found: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    for _, triples in said:
        for one, verb, other in triples:
            found[verb.removeprefix(GLOST)][one].add(other)
    return found


Facts = dict[str, dict[str, set[str]]]


def asked(snapshot: Snapshot, name: str, **given: str) -> list[dict[str, str]]:
    answer = snapshot.answers.ask(name, **given)
    rows = [["" if v is None else str(v) for v in row.values] for row in answer.rows]
    return [dict(zip(answer.columns, row, strict=True)) for row in rows]


def typed(facts: Facts, kind: str) -> list[str]:
    return sorted(one for one, kinds in facts[TYPE].items() if GLOST + kind in kinds)


def maybe(values: set[str]) -> set[str]:
    return values or {""}


SHOWN = {"begin": "hasBeginning", "end": "hasEnd"}


@pytest.mark.parametrize(
    "thing",
    [None, "shape/pellow", "shape/tamsin", "piece/wv-056", "source/ot-cat-1928", "person/strand"],
)
def test_dates_as_each_source_gives_them(
    valley: Snapshot, said: list[Said], facts: Facts, thing: str | None
) -> None:
    pieces, sources = ({*typed(facts, kind)} for kind in ("Piece", "Source"))

    def dated(point: str) -> bool:
        whole, _, name = point.partition("#")
        if name in SHOWN:
            return any(point in facts[TIME + SHOWN[name]][run] for run in facts["run"][whole])
        return (point in facts[name][whole]) if name else whole in sources

    def source(row: dict[str, str]) -> str:
        own = {"pieces": row.get("piece"), "sources": row.get("source")}.get(row.get("table", ""))
        named = row.get("source") or own or ""
        kind = "piece" if f"{BASE}piece/{named}" in pieces else "source"
        return f"{BASE}{kind}/{named}"

    expected = []
    for row, triples in said:
        for point, verb, date in triples:
            whole, _, name = point.partition("#")
            if (
                verb in (f"{GLOST}date", f"{GLOST}sourceDate")
                and dated(point)
                and thing in (None, whole.removeprefix(BASE))
            ):
                certainty = f"{PUBLISHED}certainty/{row['certainty']}" if "certainty" in row else ""
                expected.append((whole, name, date, source(row), row.get("locator", ""), certainty))
    given = {} if thing is None else {"thing": thing}
    found = [tuple(row.values()) for row in asked(valley, "dates-given", **given)]
    assert expected
    assert sorted(set(expected)) == sorted(set(found))


@pytest.mark.parametrize("pottery", [None, "orrin", "quillan"])
def test_tables_of_codes(valley: Snapshot, facts: Facts, pottery: str | None) -> None:
    expected = set()
    for part in typed(facts, "CodePart"):
        columns = ("partName", "partTells", "partValue", "denotes", "denotesYear", "denotesMonth",
                   "holdsIn")  # fmt: skip
        name, *told = (facts[column][part] for column in columns)
        for scheme in facts["codePartOf"][part]:
            owners = maybe(facts["schemeOf"][scheme])
            for one, owner, pattern in product(name, owners, facts["pattern"][scheme]):
                if pottery in (None, owner.removeprefix(f"{BASE}pottery/")):
                    tells, value, thing, year, month, only = map(maybe, told)
                    for row in product(value, tells, thing, year, month, only):
                        expected.add((scheme, owner, pattern, one, *row))
    given = {} if pottery is None else {"pottery": pottery}
    assert {tuple(row.values()) for row in asked(valley, "code-tables", **given)} == expected
    assert len(expected) > 10


RELATIONS = ("derivedFrom", "copiedFrom", "redesignedFrom", "reissueOf", "sharesMouldsWith")


@pytest.mark.parametrize(
    "thing", ["shape/moraine", "shape/alder", "shape/octavine", "treatment/v-204"]
)
def test_a_family_is_all_that_hangs_together(
    valley: Snapshot, said: list[Said], facts: Facts, thing: str
) -> None:
    near = defaultdict(set)
    for relation in RELATIONS:
        for one, others in facts[relation].items():
            for other in others:
                near[one].add(other)
                near[other].add(one)
    members, open_ = set(), {BASE + thing}
    while open_:
        members |= open_
        open_ = {other for one in open_ for other in near[one]} - members
    expected = {
        (one, verb, other, f"{BASE}source/{row['source']}")
        for row, triples in said
        for one, verb, other in triples
        if one in members and verb.removeprefix(GLOST) in RELATIONS
    }
    found = {
        (row["member"], row["relation"], row["other"], row["source"])
        for row in asked(valley, "family", thing=thing)
    }
    assert found == expected
    assert bool(expected) == (len(members) > 1)


@pytest.mark.parametrize("what", [None, "octavine", "barley-cream"])
def test_glazes_and_the_shapes_they_served(
    valley: Snapshot, facts: Facts, what: str | None
) -> None:
    pieces: dict[tuple[str, str], set[str]] = defaultdict(set)
    for piece in typed(facts, "Piece"):
        for pair in product(facts["bearsGlaze"][piece], facts["ofShape"][piece]):
            pieces[pair].add(piece)
    offered = {(glaze, shape) for glaze, shapes in facts["offeredOn"].items() for shape in shapes}
    expected = {
        (*pair, "offered" if pair in offered else "seen", str(len(pieces[pair])))
        for pair in offered | set(pieces)
        if what is None or any(each.endswith(f"/{what}") for each in pair)
    }
    given = {} if what is None else {"what": what}
    assert {tuple(r.values()) for r in asked(valley, "glazes-and-shapes", **given)} == expected
    assert expected


@pytest.mark.parametrize("words", [None, "GOLD", "finial", "marriage", "nothing of the kind"])
def test_features_of_pieces(valley: Snapshot, facts: Facts, words: str | None) -> None:
    expected = {
        row
        for piece in typed(facts, "Piece")
        for row in product(
            [piece], facts["feature"][piece], maybe(facts["ofShape"][piece]),
            maybe(facts["form"][piece]),
        )
        if words is None or words.lower() in row[1].lower()
    }  # fmt: skip
    given = {} if words is None else {"words": words}
    assert {tuple(r.values()) for r in asked(valley, "pieces-with-feature", **given)} == expected
    assert bool(expected) == (words != "nothing of the kind")


FIGURES = (
    "overallLength", "innerDiameter", "innerHeight", "innerWidth", "carCount", "carPitch",
    "pushInterval", "warePerCar", "cycle", "setting", "statedOutput", "zoneLength",
    "peakTemperature", "cone",
)  # fmt: skip


def figures(facts: Facts) -> Iterator[tuple[str, str, str, str]]:
    of = [(kiln, kiln, "") for kiln in typed(facts, "Kiln")]
    of += [
        (zone, kiln, kind)
        for zone in typed(facts, "KilnZone")
        for kiln, kind in product(facts["zoneOf"][zone], facts["zoneKind"][zone])
    ]
    for thing, kiln, zone in of:
        for figure in FIGURES:
            for written in facts[figure][thing]:
                yield kiln, zone, GLOST + figure, written


@pytest.mark.parametrize("given", [{}, {"kiln": "ot-4-a"}, {"plant": "ot-2"}, {"plant": "ot-4"}])
def test_figures_of_kilns(valley: Snapshot, facts: Facts, given: dict[str, str]) -> None:
    expected = {
        row
        for row in figures(facts)
        if given.get("kiln", row[0].rsplit("/", 1)[-1]) == row[0].rsplit("/", 1)[-1]
        and ("plant" not in given or f"{BASE}plant/{given['plant']}" in facts["inPlant"][row[0]])
    }
    assert {tuple(row.values()) for row in asked(valley, "kiln-figures", **given)} == expected
    assert expected
