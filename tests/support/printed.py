"""What a command printed as JSON: the tables of its report as rows, and its statements."""

import json
from collections.abc import Iterator
from typing import Any


def tables(printed: str, section: str = "") -> list[list[dict[str, Any]]]:
    """Return the tables of the sections of one id, rows by column name with their ``claims``."""
    found = []
    for each in json.loads(printed)["sections"]:
        if section in ("", each["id"].partition(".")[0]):
            found += [rows(part) for part in each["parts"] if part["type"] == "table"]
    return found


def rows(table: dict[str, Any]) -> list[dict[str, Any]]:
    names = [column["name"] for column in table["columns"]]
    return [
        {**dict(zip(names, map(_cell, row["cells"]), strict=True)), "claims": claims(row)}
        for row in table["rows"]
    ]


def _cell(cell: Any) -> Any:
    if isinstance(cell, dict):
        return cell["text"]
    return "".join(map(_cell, cell)) if isinstance(cell, list) else cell


def claims(of: dict[str, Any]) -> list[str]:
    passages = [ground for ground in of["grounds"] if ground["type"] == "passage"]
    return [claim["iri"] for passage in passages for claim in passage["claims"]]


def statements(printed: str, section: str = "") -> Iterator[dict[str, Any]]:
    """Yield the statements of the sections of one id, those under them too, each with ``text``."""
    told = json.loads(printed)
    for each in told["lead"] if not section else ():
        yield from _all(each)
    for each in told["sections"]:
        if section in ("", each["id"].partition(".")[0]):
            for part in each["parts"]:
                for one in part.get("statements", ()):
                    yield from _all(one)


def _all(statement: dict[str, Any]) -> Iterator[dict[str, Any]]:
    yield {**statement, "text": "".join(map(_cell, statement["sentence"]))}
    for each in statement["parts"]:
        yield from _all(each)
