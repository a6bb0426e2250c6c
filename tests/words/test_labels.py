"""What things are called: by patterns that are data, each expected name put together by hand."""

import csv
import re
from collections import defaultdict
from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from urllib.parse import unquote

import pytest
from rdflib import Graph, Literal, URIRef
from rdflib.namespace import DCTERMS, RDFS

from glost.answer.snapshot import Snapshot
from glost.data import vocabulary
from glost.names import EDTF, GLOST, SCHEMES
from glost.record.errors import RecordErrors
from glost.record.record import read
from glost.words.labels import Words, heading, label
from glost.words.patterns import faults, named_kinds, patterns, read_patterns
from glost.words.sentences import citation
from shelf import write

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
WEND, BASE = "https://example.org/wend/", "https://example.org/shelf/"
FORM, KILN = f"{SCHEMES}form/", f"{SCHEMES}kiln-kind/"


def graph(*statements: tuple[str, str, str | Literal]) -> Graph:
    """Return statements about things of a shelf, with the vocabulary."""
    found = Graph()
    found += vocabulary()
    for subject, name, value in statements:
        verb = RDFS.label if name == "name" else DCTERMS.title if name == "title" else GLOST[name]
        at = (
            value
            if isinstance(value, Literal)
            else (URIRef(value if value.startswith("http") else BASE + value))
        )
        found.add((URIRef(BASE + subject), verb, at))
    return found


def text(value: str) -> Literal:
    return Literal(value)


# -- each way in which patterns are filled ---------------------------------------------------------

ALDER = ("shape/alder", "name", text("Alder"))
CALLED = [
    ("a name leads", [ALDER], "shape/alder", "Alder"),
    (
        "parts, what is not known left out",
        [ALDER, ("piece/p", "form", f"{FORM}jug"), ("piece/p", "ofShape", "shape/alder")],
        "piece/p", "Jug, Alder",
    ),
    (
        "of what belongs to another thing, before what is read",
        [("piece/p", "form", f"{FORM}jug"), ("piece/p", "bearsTreatment", "treatment/t"),
         ("piece/p", "numberRead", text("A-1?")), ("treatment/t", "treatmentNumber", text("A-10"))],
        "piece/p", "Jug, A-10",
    ),
    (
        "what is read, where the other has no number",
        [("piece/p", "form", f"{FORM}jug"), ("piece/p", "bearsTreatment", "treatment/t"),
         ("piece/p", "numberRead", text("A-1?"))],
        "piece/p", "Jug, A-1?",
    ),
    (
        "a later pattern, where the first is not known",
        [ALDER, ("piece/p", "ofShape", "shape/alder"), ("piece/p", "tradeSize", text("36s"))],
        "piece/p", "Alder piece",
    ),
    ("an id where nothing is known", [("piece/p", "heldBy", text("A shelf"))], "piece/p", "Piece p"),
    (
        "several of what has one value: or",
        [ALDER, ("shape/birch", "name", text("Birch")), ("piece/p", "form", f"{FORM}jug"),
         ("piece/p", "ofShape", "shape/birch"), ("piece/p", "ofShape", "shape/alder")],
        "piece/p", "Jug, Alder or Birch",
    ),
    (
        "several of what may have many: and; and an end taken off",
        [("kiln/k", "kilnKind", f"{KILN}bottle"), ("kiln/k", "firing", f"{SCHEMES}firing/glost"),
         ("kiln/k", "firing", f"{SCHEMES}firing/bisque"), ("kiln/k", "kilnNumber", text("3")),
         ("kiln/k", "inPlant", "plant/p"), ("plant/p", "name", text("Low Works"))],
        "kiln/k", "Bisque and glost bottle kiln 3, Low Works",
    ),
    (
        "within another, what was put together begins small",
        [("zone/z", "zoneKind", f"{SCHEMES}zone-kind/firing"), ("zone/z", "zoneOf", "kiln/k"),
         ("kiln/k", "kilnKind", f"{KILN}bottle")],
        "zone/z", "Firing zone of bottle kiln",
    ),
    (
        "from what has the thing",
        [ALDER, ("offering/o", "offersArticle", "article/a"), ("offering/o", "itemNumber", text("7")),
         ("assortment/s", "hasOffering", "offering/o"), ("assortment/s", "offeredIn", "source/c"),
         ("source/c", "title", text("Catalogue No. 4")), ("article/a", "ofShape", "shape/alder"),
         ("article/a", "form", f"{FORM}jug")],
        "offering/o", "Alder jug, item 7, in Catalogue No. 4",
    ),
    (
        "a text that stands for what is not known",
        [ALDER, ("superlative/s", "superlative", text("most")), ("superlative/s", "statedOf", "shape/alder")],
        "superlative/s", "Most articles, Alder",
    ),
    (
        "a date in words",
        [ALDER, ("total/t", "counted", text("articles")), ("total/t", "statedOf", "shape/alder"),
         ("total/t", "countedIn", Literal("1906~", datatype=EDTF))],
        "total/t", "Number of articles, Alder, about 1906",
    ),
    ("a point of a life", [ALDER], "shape/alder#begin", "start of Alder"),
    ("a number before a name",
     [("treatment/t", "name", text("Bryony")), ("treatment/t", "treatmentNumber", text("L-7"))],
     "treatment/t", "L-7 (Bryony)"),
]  # fmt: skip


@pytest.mark.parametrize(("why", "said", "thing", "expected"), CALLED, ids=[c[0] for c in CALLED])
def test_what_a_thing_is_called(
    why: str, said: list[tuple[str, str, str | Literal]], thing: str, expected: str
) -> None:
    assert label(URIRef(BASE + thing), graph(*said)) == expected


def test_what_is_put_together_begins_small_within_a_sentence() -> None:
    words = Words(graph(("piece/p", "form", f"{FORM}jug"), ALDER))
    assert words.within(URIRef(f"{BASE}piece/p")) == "jug"
    assert words.within(URIRef(f"{BASE}shape/alder")) == "Alder"
    assert words.with_id(URIRef(f"{BASE}piece/p")) == "Jug (p)"
    assert words.with_id(URIRef(f"{BASE}piece/q")) == "Piece q"


# -- told apart ------------------------------------------------------------------------------------


def names_of(found: Graph, *things: str) -> list[str]:
    return [label(URIRef(BASE + thing), found) for thing in things]


def test_pieces_are_told_apart_though_it_is_two_treatments_that_have_one_number() -> None:
    facts = graph(
        *((f"piece/{p}", "form", f"{FORM}jug") for p in "abc"),
        ("piece/a", "bearsTreatment", "treatment/t"), ("treatment/t", "treatmentNumber", text("9")),
        ("piece/b", "bearsTreatment", "treatment/u"), ("treatment/u", "treatmentNumber", text("9")),
        ("piece/c", "numberRead", text("9")),
    )  # fmt: skip
    assert names_of(facts, "piece/a", "piece/b", "piece/c") == [
        "Jug, 9 (a)",
        "Jug, 9 (b)",
        "Jug, 9 (c)",
    ]


def test_things_called_alike_are_told_apart_by_what_is_known_and_at_last_by_their_ids() -> None:
    jugs = [(f"piece/{name}", "form", f"{FORM}jug") for name in "abcd"]
    found = graph(
        *jugs,
        ("piece/a", "accession", text("1954.7")),
        ("piece/b", "accession", text("1954.8")),
        ("mark/m", "wording", text("FELL")),
    )
    assert names_of(found, "piece/a", "piece/b", "piece/c", "piece/d", "mark/m") == [
        "Jug, 1954.7", "Jug, 1954.8", "Jug (c)", "Jug (d)", "Mark “FELL”",
    ]  # fmt: skip


@pytest.mark.parametrize("often", [0, 300])
def test_corrections_of_claims_called_alike_are_told_apart_however_much_was_asked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, often: int
) -> None:
    """Two rows say of one shape on one page when it began and when it ended; both are withdrawn."""
    monkeypatch.setattr("glost.words.labels._OFTEN", often)
    shapes = (
        "shape,pottery,name,begin,end,source,locator,claim\n"
        "alder,harrow,Alder,1908,,cat1908,p. 3,began\n"
        "alder,harrow,Alder,,1912,cat1908,p. 3,ended\n"
        "birch,harrow,Birch,1911,,cat1911,p. 2,\n"
    )
    corrections = (
        "withdraws,columns,reason,source,locator\n"
        "began,begin,misread,letter,p. 1\nended,end,misread,letter,p. 2\n"
    )
    snapshot = Snapshot.of(read(write(tmp_path / "c", shapes=shapes, corrections=corrections)))
    alike = "correction of what Catalogue No. 4, 1908, p. 3, says of Alder"
    for name in ("began.begin", "ended.end"):
        found = snapshot.words.label(URIRef(f"{BASE}correction/{name}"))
        assert found.casefold() == f"{alike} ({name})".casefold()


def test_things_are_called_alike_though_the_first_of_their_values_leads_nowhere() -> None:
    """The jug A bears two treatments, of which the first has no number that anybody gave."""
    found = graph(
        *((f"piece/{name}", "form", f"{FORM}jug") for name in "ab"),
        *((f"piece/{name}", "bearsTreatment", "treatment/u") for name in "ab"),
        ("piece/a", "bearsTreatment", "treatment/t"),
        ("piece/a", "numberRead", text("6?")),
        ("treatment/u", "treatmentNumber", text("L-6")),
    )
    assert names_of(found, "piece/a", "piece/b") == ["Jug, L-6 (a)", "Jug, L-6 (b)"]


def test_only_what_parts_them_is_added() -> None:
    """Both decals are of one printer, which would tell nothing; their numbers do."""
    found = graph(
        *((f"decal/{name}", "name", text("Ferry Rose")) for name in "ab"),
        *((f"decal/{name}", "printedBy", "firm/f") for name in "ab"),
        ("firm/f", "name", text("Kessel")),
        ("decal/a", "printerNumber", text("11")),
        ("decal/b", "printerNumber", text("12")),
    )
    assert names_of(found, "decal/a", "decal/b") == ["Ferry Rose, no. 11", "Ferry Rose, no. 12"]


# -- the examples ----------------------------------------------------------------------------------


@pytest.fixture(scope="module", params=["wend-valley", "one-shelf"])
def example(request: pytest.FixtureRequest, valley: Snapshot) -> Snapshot:
    return valley if request.param == "wend-valley" else Snapshot(EXAMPLES / request.param)


def things(of: Snapshot) -> Iterator[URIRef]:
    """Yield everything that a collection names and that has an id of its own."""
    named = {t for triple in of.belief.graph for t in triple if isinstance(t, URIRef)}
    for each in sorted(named):
        if each.startswith(of.collection.base) and "#" not in each:
            yield each


def test_labels_and_headings_of_a_kind_are_distinct(example: Snapshot) -> None:
    labels, headings = defaultdict(list), defaultdict(list)
    for thing in things(example):
        kind = thing.rsplit("/", 2)[1]
        if kind != "claim":  # several rows of one page may speak of one thing
            labels[kind, label(thing, example.words).casefold()].append(thing)
            headings[kind, heading(thing, example.words, example.chronology)].append(thing)
    assert {name: alike for name, alike in labels.items() if len(alike) > 1} == {}
    assert {name: alike for name, alike in headings.items() if len(alike) > 1} == {}


def test_no_label_shows_an_id_where_anything_is_known(example: Snapshot) -> None:
    """An id stands in a label only at its end, in brackets, where nothing else tells two apart."""
    shown = 0
    for thing in things(example):
        kind, slug = thing.rsplit("/", 2)[1:]
        said = label(thing, example.words)
        if kind not in ("images", "claim"):
            assert said != f"{kind} {unquote(slug)}".capitalize(), said
        shown += said.endswith(f"({unquote(slug)})")
    assert shown == 0


NAMED = {
    "piece/wv-001": "Covered dish 8, Alder, A-112, made 1898–1908",
    "piece/wv-056": "Jug 36s, Halewin, H-433, made 1933 (disputed)",
    "kiln/ot-1-1": "Bisque bottle kiln 1, Ferry Street Works, 1896–1929",
    "kiln/ot-4-a": "Bisque straight car tunnel kiln A, Northfield Plant, begun 1923, ended by 1942 (disputed)",
    "source/courier-1921": "Wend Valley Courier, 5 March 1921",
    "source/crewe-1958": "Recollections of Ada Crewe, decorator (1958)",
    "decal/ferry-rose-vauclin": "Ferry Rose, Vauclin et fils, begun by 1906",
    "person/crewe": "Ada Crewe, 1893–1961",
    "redesign/sedgewater-spout": "Sedgewater teapot with raised spout, 1926",
    "treatment/a-112": "A-112 (Gorse and Linnet), begun 1900–1904, ended 1906–1942",
}


@pytest.mark.parametrize("thing", NAMED)
def test_what_stands_above_the_page_of_a_thing(valley: Snapshot, thing: str) -> None:
    assert heading(URIRef(WEND + thing), valley.words, valley.chronology) == NAMED[thing]


def rows(table: str) -> list[dict[str, str]]:
    folder = EXAMPLES / "wend-valley" / "tables"
    with (folder / f"{table}.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_sources_are_cited_by_short_title_and_year(valley: Snapshot) -> None:
    cited = {
        row["source"]: citation(URIRef(f"{WEND}source/{row['source']}"), valley.words, "p. 1")
        for row in rows("sources")
    }
    assert cited["ot-cat-1906"] == "Catalogue No. 6, 1906, p. 1"
    # what is left of its title is the name of a pottery
    assert cited["h-cat-1902"] == "Haskett Brothers: Plain Ware for Plain Tables, about 1902, p. 1"
    assert cited["courier-1921"] == "Wend Valley Courier, 5 March 1921, p. 1"
    assert cited["ot-cat-1928"].endswith(", about 1928, p. 1")
    assert not any(name in cited[name] for name in cited)


# -- the file --------------------------------------------------------------------------------------


def test_there_is_a_pattern_for_every_kind_a_table_describes() -> None:
    described = chain.from_iterable(
        re.findall(r'"(?:kind|aboutUrl)": "(?:\.\./)?([a-z-]+)', path.read_text(encoding="utf-8"))
        for path in (EXAMPLES.parent / "ontology" / "tables").glob("*.json")
    )
    assert set(described) - set(patterns()) == set()
    assert set(described) <= named_kinds()
    assert faults(patterns(), vocabulary()) == []


WRONG = [
    ({"piece": {"label": ["{formm}"]}},
     'words/patterns.toml: [piece] label: there is no property "formm"; did you mean "form"?'),
    ({"piece": {"label": ["{form}"], "apart": [", {ofShape.madBy}"]}},
     'words/patterns.toml: [piece] apart: there is no property "madBy"; did you mean "madeBy"?'),
    ({"piece": {"label": ["{form}"], "key": ["forn"]}},
     'words/patterns.toml: [piece] key: there is no property "forn"; did you mean "form"?'),
    ({"peice": {"label": ["{form}"]}},
     'words/patterns.toml: [peice]: there is no such kind; did you mean "piece"?'),
    ({"piece": {"label": ["{^saidSoo}"]}},
     'words/patterns.toml: [piece] label: there is no property "saidSoo"; did you mean "saidSo"?'),
]  # fmt: skip


@pytest.mark.parametrize(("given", "expected"), WRONG, ids=[each[1][:60] for each in WRONG])
def test_what_there_is_not_is_an_error_with_file_and_key(
    given: dict[str, dict[str, object]], expected: str
) -> None:
    assert [str(error) for error in faults(read_patterns(given), vocabulary())] == [expected]


MALFORMED = [
    ({"piece": {"labels": ["{form}"]}}, '[piece] labels: there is no key "labels"'),
    ({"piece": {"dates": "{}"}}, "[piece] label: it is missing"),
    ({"piece": {"label": ["{form"]}}, "braces do not match in '{form'"),
    ({"piece": {"label": ["{form}["]}}, "brackets do not match in '{form}['"),
    ({"piece": {"label": ["{form}]"]}}, "brackets do not match in '{form}]'"),
    ({"piece": {"label": ["{a:form}"]}}, '[piece] label: there is no prefix "a"'),
    ({"piece": {"label": "{form}"}}, "[piece] label: it is no list"),
    ({"piece": {"label": ["{form}"], "point": "end"}}, '[piece] point: "end" is none of'),
]  # fmt: skip


@pytest.mark.parametrize(("given", "expected"), MALFORMED, ids=[each[1] for each in MALFORMED])
def test_what_cannot_be_read_is_an_error_with_file_and_key(
    given: dict[str, dict[str, object]], expected: str
) -> None:
    with pytest.raises(RecordErrors) as bad:
        read_patterns(given)
    assert expected in str(bad.value) and "words/patterns.toml" in str(bad.value)
