"""Answers on the example worked out again from its tables in plain Python, without RDF or SPARQL.

The tables are read as texts; rows that a correction withdraws are left out. Years are whole, and
come from the dates by the reader's own bounds.
"""

import csv
from collections import Counter, defaultdict
from itertools import product
from pathlib import Path

import pytest
from rdflib import URIRef
from rdflib.namespace import SKOS

from believed_rows import believed
from glost.answer.questions import AnswerRow
from glost.answer.snapshot import Snapshot
from glost.data import vocabulary
from glost.record.dates import calendar_day, read

TABLES = Path(__file__).parents[2] / "examples" / "wend-valley" / "tables"
Cells = dict[str, str]
BELIEVED = believed(TABLES.parent)


def load(name: str) -> list[Cells]:
    """Read a table, which may be split over several files that have other columns."""
    rows: list[Cells] = []
    for path in (TABLES / f"{name}.csv", *sorted(TABLES.glob(f"{name}-*.csv"))):
        with path.open(encoding="utf-8-sig", newline="") as file:
            rows += csv.DictReader(file)
    assert rows
    columns = dict.fromkeys(key for row in rows for key in row)
    return [{key: row.get(key) or "" for key in columns} for row in rows]


def table(name: str) -> list[Cells]:
    columns = load(name)[0]
    rows = [row for each, row in BELIEVED if each == name]
    return [dict.fromkeys(columns, "") | row for row in rows]


def column(rows: list[Cells], key: str, value: str) -> dict[str, set[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for row in rows:
        for part in row[value].split("|"):
            if row[key] and part:
                found[row[key]].add(part)
    return found


def slug(value: object) -> str:
    return "" if value is None else str(value).rsplit("/", 1)[-1]


def slugs(rows: tuple[AnswerRow, ...], *places: int) -> set[tuple[str, ...]]:
    return {tuple(slug(row.values[place]) for place in places) for row in rows}


def years(text: str) -> tuple[int | None, int | None]:
    date = read(text)
    return (
        None if date.earliest is None else calendar_day(date.earliest)[0],
        None if date.latest is None else calendar_day(date.latest)[0],
    )


SOURCES = table("sources")
COMPLETE = {row["source"] for row in SOURCES if row["complete"] == "yes"}
LISTED = {row["source"]: years(row["date"]) for row in SOURCES if row["date"]}
# What contradicts that date would have it later: it lists Dorrance, which ended in 1926, and a list
# may lag by a year.
LISTED["q-cat-1924"] = (1924, 1927)
DAYS = {row["source"]: read(row["date"]) for row in SOURCES if row["date"]}
ASSORTMENTS = table("assortments")
PIECES = table("pieces")
TREATMENTS = table("treatments")
HOMES = column(TREATMENTS, "treatment", "shape")
MAKERS = column(table("shapes"), "shape", "pottery")
PATH = "https://w3id.org/glost/form/"


def size(row: Cells) -> str:
    text = row["trade_size"].strip()
    for word in ("inches", "inch", "ins", "in", '"'):
        for ending in (f"{word}.", word):
            if text.lower().endswith(ending):
                return text[: -len(ending)].rstrip()
    return text


def form(row: Cells) -> str:
    return row["form"].strip().lower().replace(" ", "-")


def offered() -> dict[tuple[str, str], set[tuple[str, str, str]]]:
    found: dict[tuple[str, str], set[tuple[str, str, str]]] = defaultdict(set)
    for row in ASSORTMENTS:
        found[row["shape"], row["catalogue"]].add((form(row), size(row), row["variant"]))
    return found


OFFERED = offered()


def test_the_tables_are_those_the_record_was_read_from(valley: Snapshot) -> None:
    rows = [claim.origin.row for claim in valley.record.claims if claim.origin.table == "pieces"]
    assert len(rows) == len(load("pieces"))
    assert len(ASSORTMENTS) > 600


def flatware() -> set[str]:
    graph = vocabulary()
    under = {str(f) for f in graph.transitive_subjects(SKOS.broader, URIRef(f"{PATH}flatware"))}
    own = {row["term"] for row in table("terms") if row["broader"] == "flatware"}
    return {iri.removeprefix(PATH) for iri in under} | own


def sharing() -> dict[frozenset[str], list[Cells]]:
    found: dict[frozenset[str], list[Cells]] = defaultdict(list)
    for row in table("flatware"):
        found[frozenset((row["shape"], row["with"]))].append(row)
    return found


DOUBT = {"possible", "doubtful"}


def reissues(treatment: str, shape: str) -> dict[str, str]:
    """Every treatment of a shape with the decal of another, and how strongly that explains it."""
    decals = column(TREATMENTS, "treatment", "decal")
    said: dict[str, list[str]] = defaultdict(list)
    for row in table("lineage"):
        thing = row["thing"].removeprefix("treatment/")
        for old in row["reissue_of"].split("|"):
            for one, other in ((thing, old), (old, thing)):
                if one.removeprefix("treatment/") == treatment:
                    said[other.removeprefix("treatment/")].append(row["certainty"])
    found = {}
    for other in set(decals) - {treatment}:
        common = decals[other] & decals[treatment]
        if shape in HOMES[other] and common:
            rows = [
                row["certainty"]
                for row in TREATMENTS
                if row["treatment"] in (treatment, other) and set(row["decal"].split("|")) & common
            ]
            if said[other]:
                found[other] = "weak" if set(said[other]) <= DOUBT else "strong"
            else:
                found[other] = "weak" if DOUBT & set(rows) else "fair"
    return found


def test_crossings(valley: Snapshot) -> None:
    """What explains each; when it was, and how that bears on it, is tested on random collections."""
    answer = valley.answers.ask("crossings")
    seen = {
        (row["treatment"], row["shape"], form(row), row["piece"])
        for row in PIECES
        if row["treatment"] and row["shape"]
    }
    seen |= {(r["treatment"], r["shape"], "", r["source"]) for r in table("appearances")}
    shared, flat = sharing(), flatware()
    late = {
        tuple(map(slug, (r.values[0], r.values[2], r.values[3], r.values[5]))): str(r.values[10])
        for r in answer.rows
    }
    expected = set()
    for treatment, shape, kind, witness in seen:
        for home in HOMES[treatment] - {shape}:
            if shape in HOMES[treatment]:
                continue
            found = {
                ("decal reissued under the other shape's number", strength, other)
                for other, strength in reissues(treatment, shape).items()
            }
            rows = shared.get(frozenset((home, shape)), [])
            if rows:
                words = "shared flatware"
                words += "" if kind in flat else ", if it is flatware" if not kind else (
                    ", its decoration put on hollow ware too"
                )  # fmt: skip
                strength = "strong" if kind in flat else "weak" if kind else "fair"
                doubted = all(row["certainty"] in DOUBT for row in rows)
                found.add((words, "weak" if doubted else strength, ""))
            if late[treatment, home, shape, witness] == "yes":
                found.add(("late reissue", "fair", ""))
            if not found:
                open_ = late[treatment, home, shape, witness] == "possibly"
                found.add(("possibly a late reissue" if open_ else "none yet", "none", ""))
            expected |= {(treatment, home, shape, kind, witness, *each) for each in found}
    assert len({row[5] for row in expected}) >= 4
    assert slugs(answer.rows, 0, 2, 3, 4, 5, 6, 7, 8) == expected


def test_shared_flatware(valley: Snapshot) -> None:
    """Nobody shares with another by way of a third; dates are those of the rows that give any."""
    expected = set()
    for pair, rows in sharing().items():
        for shape in pair:
            (other,) = pair - {shape}
            begins = {years(row["begin"]) for row in rows if row["begin"]}
            ends = {years(row["end"]) for row in rows if row["end"]}
            assert len(begins) <= 1 and len(ends) <= 1
            span = [*next(iter(begins), ("", "")), *next(iter(ends), ("", ""))]
            last = [
                years(row["end"])[1]
                for row in table("shapes")
                if row["shape"] in pair and row["end"]
            ]
            if span[3]:
                span[3] = min(int(year) for year in (span[3], *last) if year)
            expected.add((shape, other, *map(str, span), ""))
    assert any(row[2] for row in expected) and any(not row[2] for row in expected)
    assert slugs(valley.answers.ask("shared-flatware").rows, 0, 1, 2, 3, 4, 5, 6) == expected


def test_pieces_for_a_retailer(valley: Snapshot) -> None:
    """By what is said of the piece, by the mark it bears, and by its treatment."""
    marks = {row["mark"] for row in table("marks") if row["names_firm"] == "grange"}
    treatments = {row["treatment"] for row in TREATMENTS if row["retailer"] == "grange"}
    expected = {(r["piece"], "was made for it") for r in PIECES if r["retailer"] == "grange"}
    expected |= {
        (row["piece"], "bears a mark that names it")
        for row in PIECES
        if marks & set(row["mark"].split("|"))
    }
    expected |= {
        (row["piece"], "bears a treatment made for it")
        for row in PIECES
        if row["treatment"] in treatments
    }
    assert {how for _, how in expected} == {
        "was made for it", "bears a mark that names it", "bears a treatment made for it",
    }  # fmt: skip
    assert slugs(valley.answers.ask("pieces-showing", what="firm/grange").rows, 0, 1) == expected


def test_glazes_on_articles(valley: Snapshot) -> None:
    listed: dict[tuple[str, str], list[Cells]] = defaultdict(list)
    for row in table("glaze_articles"):
        listed[row["glaze"], row["shape"]].append(row)
    seen: dict[tuple[str, str, str], set[str]] = defaultdict(set)
    for row in PIECES:
        if row["glaze"] and row["shape"] and row["form"]:
            seen[row["glaze"], row["shape"], form(row)].add(row["piece"])
    named = {
        (*pair, kind)
        for pair, rows in listed.items()
        for r in rows
        for kind in r["form"].split("|")
    }
    expected = set()
    flat = flatware()
    for glaze, shape, kind in named | set(seen):
        rows = listed.get((glaze, shape), [])
        forms = {f for row in rows for f in row["form"].split("|")}
        said = kind in forms or ("hollow-ware" in forms and kind not in flat)
        only = any(row["only"] == "yes" for row in rows)
        words = (
            ("on this and no other" if only else "on this")
            if said
            else "on others only"
            if only
            else ""
        )
        against = "a piece shows what a source rules out" if only and not said else ""
        count = str(len(seen.get((glaze, shape, kind), ())))
        expected.add((glaze, shape, kind, "yes", words, count, against))
    assert slugs(valley.answers.ask("glazes-and-articles").rows, *range(7)) == expected
    answer = valley.answers.ask("glazes-and-articles", what="lesche-blue", form="plate")
    assert slugs(answer.rows, 0, 1, 2, 3, 4) == {
        ("lesche-blue", "moraine", "plate", "no", "on others only")
    }


@pytest.mark.parametrize("pair", [("alder", "vellacott"), ("dorrance", "cullis")])
def test_articles_compared(valley: Snapshot, pair: tuple[str, str]) -> None:
    first, second = pair
    articles = {
        shape: set().union(*(a for (s, _), a in OFFERED.items() if s == shape)) for shape in pair
    }
    whole = {shape: any(s == shape and c in COMPLETE for s, c in OFFERED) for shape in pair}
    expected = {(*article, "in both") for article in articles[first] & articles[second]}
    lost = "lost" if whole[second] else "not seen in the second"
    gained = "gained" if whole[first] else "not seen in the first"
    expected |= {(*article, lost) for article in articles[first] - articles[second]}
    expected |= {(*article, gained) for article in articles[second] - articles[first]}
    rows = valley.answers.ask("articles-compared", first=first, second=second).rows
    assert slugs(rows, 0, 1, 2, 3) == expected


def before(shape: str, catalogue: str) -> set[str]:
    """Return the lists of the shape that are certainly earlier, save those with one between."""
    earlier = {c for s, c in OFFERED if s == shape and _sooner(c, catalogue)}
    return {c for c in earlier if not any(_sooner(c, other) for other in earlier)}


def _sooner(one: str, other: str) -> bool:
    """Say by the days that their dates allow whether a list came out before another."""
    last, first = DAYS[one].latest, DAYS[other].earliest
    assert last is not None
    assert first is not None
    if "q-cat-1924" not in (one, other):
        return last < first
    by, start = LISTED[one][1], LISTED[other][0]  # the days of that one are in dispute; see above
    return by is not None and start is not None and by < start


def test_changes_of_assortment(valley: Snapshot) -> None:
    expected = set()
    for (shape, later), articles in OFFERED.items():
        for earlier in before(shape, later):
            old = OFFERED[shape, earlier]
            gone = "lost" if later in COMPLETE else "not seen after"
            come = "gained" if earlier in COMPLETE else "not seen before"
            expected |= {(shape, earlier, later, *a, gone) for a in old - articles}
            expected |= {(shape, earlier, later, *a, come) for a in articles - old}
    assert {row[-1] for row in expected} == {"lost", "gained", "not seen after", "not seen before"}
    rows = valley.answers.ask("changes-of-assortment").rows
    assert slugs(rows, 0, 1, 2, 3, 4, 5, 6) == expected


def test_assortment_sizes(valley: Snapshot) -> None:
    sizes: dict[tuple[str, str], set[tuple[str, str, str]]] = defaultdict(set)
    for row in ASSORTMENTS:  # sizes as written: each is an article of its own in the record
        article = (form(row), row["trade_size"], row["variant"])
        sizes[row["shape"], row["catalogue"]].add(article)
    expected = set()
    for (shape, catalogue), articles in sizes.items():
        for earlier in before(shape, catalogue) or {""}:
            change = str(len(articles) - len(sizes[shape, earlier])) if earlier else ""
            both = "yes" if {catalogue, earlier} <= COMPLETE else "no"
            row = (shape, catalogue, str(len(articles)), earlier, change, both if earlier else "")
            expected.add(row)
    rows = valley.answers.ask("assortment-sizes").rows
    assert slugs(rows, 0, 1, 4, 5, 6, 7) == expected


def test_assortment_classes(valley: Snapshot) -> None:
    """Articles of a list by class; a form of the archive's own is of the class its row names."""
    graph = vocabulary()
    hollow = {
        str(each).removeprefix(PATH)
        for each in graph.transitive_subjects(SKOS.broader, URIRef(f"{PATH}hollow-ware"))
    }
    flat = flatware()
    assert "trivet-stand" in flat and not flat & hollow
    counted: Counter[tuple[str, str, str]] = Counter()
    for shape, catalogue, what, _, _ in {
        (r["shape"], r["catalogue"], form(r), r["trade_size"], r["variant"]) for r in ASSORTMENTS
    }:
        ware = "flatware" if what in flat else "hollow-ware" if what in hollow else ""
        counted[shape, catalogue, ware] += 1
    words = {"yes": "true", "no": "false"}
    said = {row["source"]: words[row["complete"]] for row in SOURCES if row["complete"]}
    expected = {
        (shape, catalogue, *("" if y is None else str(y) for y in LISTED[catalogue]),
         ware, str(number), said.get(catalogue, ""))
        for (shape, catalogue, ware), number in counted.items() if ware
    }  # fmt: skip
    assert slugs(valley.answers.ask("assortment-classes").rows, 0, 1, 2, 3, 4, 5, 6) == expected


def test_decal_numbers(valley: Snapshot) -> None:
    decals = column(TREATMENTS, "treatment", "decal")
    numbers = column(TREATMENTS, "treatment", "number")
    expected = {
        (decal, treatment, number, home)
        for treatment, used in decals.items()
        for decal, number, home in product(
            used, numbers.get(treatment) or {""}, HOMES.get(treatment) or {""}
        )
    }
    assert slugs(valley.answers.ask("decal-numbers").rows, 0, 1, 2, 4) == expected


def test_never_seen_at_home(valley: Snapshot) -> None:
    seen = Counter(
        (row["treatment"], row["shape"]) for row in PIECES if row["treatment"] and row["shape"]
    )
    shown = {(row["treatment"], row["shape"]) for row in table("appearances")} | set(seen)
    expected = {
        (treatment, home, shape, str(count))
        for (treatment, shape), count in seen.items()
        for home in HOMES[treatment]
        if (treatment, home) not in shown
    }
    assert slugs(valley.answers.ask("never-seen-at-home").rows, 0, 2, 3, 4) == expected


def test_made_for(valley: Snapshot) -> None:
    expected = {(row["retailer"], row["treatment"]) for row in TREATMENTS if row["retailer"]}
    expected |= {(row["names_firm"], row["mark"]) for row in table("marks") if row["names_firm"]}
    expected |= {(row["retailer"], row["piece"]) for row in PIECES if row["retailer"]}
    assert slugs(valley.answers.ask("made-for").rows, 0, 1) == expected


@pytest.mark.parametrize("mark", ["ot-circle-code", "ot-ribbon-tamsin"])
def test_pieces_showing_a_mark(valley: Snapshot, mark: str) -> None:
    expected = {(row["piece"],) for row in PIECES if mark in row["mark"].split("|")}
    assert expected
    assert slugs(valley.answers.ask("pieces-showing", what=f"mark/{mark}").rows, 0) == expected


def test_one_witness_on_dates_of_shapes(valley: Snapshot) -> None:
    """Minshull repeats Garrow: the two together are one witness."""
    told: dict[tuple[str, str], set[str]] = defaultdict(set)
    for row, point in product(table("shapes"), ("begin", "end")):
        if row[point]:
            told[f"{row['shape']}#{point}", row[point]].add(row["source"])
    repeats = {row["source"]: row["repeats"] for row in SOURCES if row["repeats"]}
    assert repeats == {"minshull-1979": "garrow-1961"}
    expected = {
        (point, date, source)
        for (point, date), sources in told.items()
        for source in sources
        if len({repeats.get(s, s) for s in sources}) == 1
    }
    rows = [
        row
        for row in valley.answers.ask("one-witness").rows
        if str(row.values[1]).endswith("#date") and "/shape/" in str(row.values[0])
    ]
    pellow = {row for row in slugs(tuple(rows), 0, 2, 3) if row[0] == "pellow#begin"}
    assert len(pellow) == 1  # from the index cards, which are no table
    assert slugs(tuple(rows), 0, 2, 3) - pellow == expected
