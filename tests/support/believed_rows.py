"""What is believed of a collection's tables, reckoned from the texts alone, without Glost.

Rows are read by Python's own ``csv`` and table descriptions by ``json``. A reckoning by hand for a
test starts from `believed`; `statements` says what rows say, as texts.
"""

import csv
import json
import re
from collections import defaultdict
from collections.abc import Iterable
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any
from urllib.parse import quote

Cells = dict[str, str]
Column = dict[str, Any]
ONTOLOGY = Path(__file__).parents[2] / "ontology"
GLOST = "https://w3id.org/glost/ontology#"
RESERVED = ":/?#[]@!$&'()*+,;="  # RFC 6570, section 1.5


def rows(folder: Path) -> list[tuple[str, Cells]]:
    """Return every row of a collection's tables, filled cells only, each with an id as ``claim``."""
    found = []
    for path in sorted((folder / "tables").glob("*.csv")):
        name = path.stem.partition("-")[0]
        with path.open(encoding="utf-8-sig", newline="") as file:
            for row in csv.DictReader(file):
                cells = {column: cell.strip() for column, cell in row.items() if cell}
                texts = sorted(f"{c}\x1f{v}" for c, v in cells.items() if c != "claim")
                digest = sha256("\x1e".join([name, *texts]).encode()).hexdigest()[:16]
                found.append((name, {"claim": digest} | cells))
    return found


def less(row: Cells, columns: Iterable[str]) -> Cells:
    """Return a row without what some columns say; ``column=value`` is one of several values."""
    left = dict(row)
    for column in columns:
        name, _, value = column.partition("=")
        kept = [v for v in left.pop(name, "").split("|") if value and v != value]
        if kept:
            left[name] = "|".join(kept)
    return left


def believed(folder: Path, day: str = "9999-12-31") -> list[tuple[str, Cells]]:
    """Return the rows nobody has withdrawn by a day, each less the cells withdrawn of it."""
    known = [(table, row) for table, row in rows(folder) if row.get("recorded_on", "") <= day]
    by_id = {row["claim"]: row for _, row in known}
    whole, placing, parts = defaultdict(list), defaultdict(list), defaultdict(list)
    for table, row in known:
        if table != "corrections" or row.get("partial") == "yes":
            continue
        (parts if row.get("columns") else whole)[row["withdraws"]].append(row)
        for name in row.get("replaced_by", "").split("|"):
            placing[name].append(row)

    def stands(name: str) -> bool:
        if any(stands(each["claim"]) for each in whole[name]):
            return False
        day = by_id[name].get("recorded_on", "")
        return not placing[name] or any(
            stands(each["claim"]) or day < each.get("recorded_on", "") for each in placing[name]
        )

    found = []
    for table, row in known:
        if stands(row["claim"]):
            standing = [each for each in parts[row["claim"]] if stands(each["claim"])]
            gone = [c for each in standing for c in each["columns"].split("|")]
            found.append((table, less(row, gone)))
    return found


def own_terms(base: str, folder: Path) -> dict[str, str]:
    """Return the collection's own terms: the IRI each has, by the one it would have if published."""
    return {
        f"https://w3id.org/glost/{row['scheme']}/{row['term']}": f"{base}{row['scheme']}/{row['term']}"
        for table, row in rows(folder)
        if table == "terms"
    }


@cache
def description(table: str) -> tuple[str, list[Column]]:
    """Return the subject's template of a table and its columns."""
    schema = json.loads((ONTOLOGY / "tables" / f"{table}.json").read_text())["tableSchema"]
    return schema["aboutUrl"], schema["columns"]


@cache
def naming(table: str) -> set[str]:
    """Return the columns that name what the rows of a table are about."""
    about, columns = description(table)
    said = [c.get("aboutUrl", about) for c in columns if "propertyUrl" in c]
    inside = re.findall(r"\{[+.;]?([^}]*)\}", " ".join(said))
    return {name for names in inside for name in names.split(",")}


def statements(base: str, table: str, row: Cells) -> set[tuple[str, str, str]]:
    """Return what a row says: subject, property and value as texts."""
    made = _made(base, table, row)
    if row.get("partial") == "yes":
        made -= _made(base, table, {n: row[n] for n in naming(table) if n in row})
    return made


def _made(base: str, table: str, row: Cells) -> set[tuple[str, str, str]]:
    about, columns = description(table)
    found = set()
    for column in columns:
        if "propertyUrl" not in column or column.get("suppressOutput"):
            continue
        name, when = column["name"], column.get("https://w3id.org/glost/tables#when", [])
        subject = _filled(base, column.get("aboutUrl", about), row)
        if column.get("virtual"):
            parts = [""] if not when or any(each in row for each in when) else []
        else:
            cell = row.get(name, "")
            parts = [
                part for part in (cell.split("|") if "separator" in column else [cell]) if part
            ]
        for part in parts:
            value = _value(base, column, {**row, name: part})
            found.add((subject, column["propertyUrl"], value))
    return found


def _value(base: str, column: Column, row: Cells) -> str:
    cell = row.get(column["name"], "")
    datatype = column.get("datatype")
    if isinstance(datatype, dict) and datatype.get("base") == "boolean":
        return "true" if cell == "yes" else "false"
    return _filled(base, column["valueUrl"], row) if "valueUrl" in column else cell


def _filled(base: str, template: str, row: Cells) -> str:
    def put(found: re.Match[str]) -> str:
        mark, names = found[1], found[2].split(",")
        safe = RESERVED if mark == "+" else ""
        texts = {name: quote(row[name], safe=safe) for name in names if row.get(name)}
        before = {".": ".", ";": ";{}="}.get(mark, "")
        return "".join(before.format(name) + text for name, text in texts.items())

    text = re.sub(r"\{([+.;]?)([^}]*)\}", put, template)
    return base + text.removeprefix("../") if text.startswith("../") else text
