"""Rows of a collection's tables as a reckoning by hand takes them, with days of its chronology."""

import csv
import random
from pathlib import Path

from rdflib import Graph, URIRef
from rdflib.namespace import SKOS

from firsts_by_hand import Tables
from glost.answer.snapshot import Snapshot
from stated_by_hand import Stated

Cells = dict[str, str]
FORMS = Path(__file__).parents[2] / "ontology" / "schemes" / "form.ttl"


def rows(folder: Path, name: str) -> list[Cells]:
    """Return the rows of a table that no correction withdraws."""
    gone = {r["withdraws"] for r in _rows(folder, "corrections") if not r.get("columns")}
    return [r for r in _rows(folder, name) if not r.get("claim") or r["claim"] not in gone]


def _rows(folder: Path, name: str) -> list[Cells]:
    files = [folder / "tables" / f"{name}.csv", *sorted(folder.glob(f"tables/{name}-*.csv"))]
    found: list[Cells] = []
    for path in files:
        if path.is_file():
            with path.open(encoding="utf-8", newline="") as file:
                found += [{k: v or "" for k, v in r.items()} for r in csv.DictReader(file)]
    return found


def tables(snapshot: Snapshot) -> Tables:
    """Take the rows from the files, and days from the chronology."""
    base, times = snapshot.record.base, snapshot.chronology
    complete: dict[str, set[str]] = {}
    for row in rows(snapshot.path, "sources"):
        if row.get("complete"):
            complete.setdefault(row["source"], set()).add(row["complete"])
    makers = {r["shape"]: r["pottery"] for r in rows(snapshot.path, "shapes") if r["pottery"]}
    bounds = {s: times.reading_bounds(URIRef(f"{base}shape/{s}#begin")) for s in makers}
    issued = {
        str(each.list).rsplit("/", 1)[-1]: (each.earliest, each.latest)
        for each in snapshot.lists.all
    }
    return Tables(
        makers,
        rows(snapshot.path, "assortments"),
        complete,
        [r for r in rows(snapshot.path, "pieces") if r.get("form") and r.get("shape")],
        rows(snapshot.path, "articles"),
        rows(snapshot.path, "absences"),
        [r for r in rows(snapshot.path, "superlatives") if r["form"]],
        {s: (b.earliest, b.latest) for s, b in bounds.items()},
        issued,
    )


def some(draw: random.Random, columns: str, *choices: list[str], most: int = 6) -> str:
    lines = {",".join(draw.choice(each) for each in choices) for _ in range(draw.randint(0, most))}
    return "\n".join([columns, *sorted(lines)]) + "\n"


def published_forms() -> dict[str, set[str]]:
    """Return each published form with itself and all that are wider, as ids."""
    graph = Graph().parse(FORMS)
    return {
        _id(form): {_id(wide) for wide in graph.transitive_objects(form, SKOS.broader)}
        for form in graph.subjects(SKOS.prefLabel)
    }


def _id(thing: object) -> str:
    return str(thing).rsplit("/", 1)[-1]


def stated_by_rows(snapshot: Snapshot, forms: dict[str, set[str]]) -> Stated:
    """Take what sources state about lists, and what bears on it, from the files."""
    first, wider = tables(snapshot), dict(forms)
    for row in rows(snapshot.path, "terms"):
        if row["scheme"] == "form":
            wider[row["term"]] = {row["term"]} | wider.get(row["broader"], set())
    classes = {"flatware": "flatware", "hollow-ware": "hollow ware"}
    ware = {f: next((w for c, w in classes.items() if c in wide), "") for f, wide in wider.items()}
    return Stated(
        first.makers,
        {r["shape"]: r["name"] for r in rows(snapshot.path, "shapes") if r["name"]},
        first.offers,
        first.complete,
        first.pieces,
        first.articles,
        first.absences,
        rows(snapshot.path, "superlatives"),
        rows(snapshot.path, "totals"),
        first.begins,
        first.issued,
        wider,
        ware,
    )
