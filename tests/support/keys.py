"""How many keys it takes to enter rows: at the desk, and in a spreadsheet.

At the desk what a form holds already is not typed; one goes from cell to cell with Tab, begins where
the form puts one, and saves with Enter. In a spreadsheet every cell up to the last that is filled
takes a Tab or Enter, a cell that says what the one above it says takes Ctrl and D, and a number in
a run of numbers is typed.
"""

import re
from collections.abc import Mapping, Sequence
from html import unescape
from urllib.parse import urlencode

from desks import Desk

Row = Mapping[str, str]


def fields(page: str) -> tuple[dict[str, str], str]:
    """Return the cells of a row's form in the order of Tab, and where one begins (empty: nowhere)."""
    form = re.search(r'(?s)<form method="post"[^>]*class="row[^>]*>.*?</form>', page)
    assert form, page
    shown, begins = {}, ""
    for tag in re.findall(r'<(?:input|select)[^>]* name="cell-[^>]*>', form[0]):
        said = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        name = said["name"].removeprefix("cell-")
        shown[name] = unescape(said.get("value", ""))
        if " autofocus" in tag:
            begins = name
    return shown, begins


def at_the_desk(desk: Desk, address: str, table: str, rows: Sequence[Row]) -> int:
    """Enter rows from a page one after the other and return how many keys that takes.

    Regions are drawn, with the mouse, in the desk as in whatever shows an image: they count for
    nothing here, and for what they are written with in a spreadsheet.
    """
    keys = 0
    here = f"{address}?table={table}"
    for at, row in enumerate(rows):
        shown, begins = fields(desk.get(here).text)
        order = list(shown)
        place = order.index(begins) if begins else -1
        for name in order:
            if name != "region" and row.get(name, "") != shown[name] and (row.get(name) or at):
                if row.get(name, "") == "" and not shown[name]:
                    continue
                keys += abs(order.index(name) - place)  # Tab, or Shift and Tab as one
                keys += min(
                    max(1, len(row.get(name, ""))), _taken(desk, table, name, row.get(name, ""))
                )
                place = order.index(name)
        sent = {f"cell-{name}": row.get(name, "") for name in order}
        answer = desk.post(here, sent | {"do": "again"})
        assert answer.status_code == 303, answer.text
        keys += 1
        here = answer.headers["location"].partition("#")[0]
    return keys


def _taken(desk: Desk, table: str, column: str, text: str) -> int:
    """Return how many keys it takes to have something offered and take it: Down, and Enter."""
    for typed in range(min(len(text), 6)):
        query = urlencode({"table": table, "column": column, "text": text[:typed]})
        offers = re.findall(r'data-take="([^"]*)">([^<]*)', desk.get(f"/cell?{query}").text)
        for at, offer in enumerate(offers, 1):
            if text in map(unescape, (offer[0], offer[1].strip())):
                return typed + at + 1
    return 10**6


def in_a_spreadsheet(columns: Sequence[str], rows: Sequence[Row]) -> int:
    """Return how many keys it takes to write rows into a table that has these columns."""
    keys, above = 0, dict.fromkeys(columns, "")
    for row in rows:
        last = max(at for at, name in enumerate(columns) if row.get(name))
        for name in columns[: last + 1]:
            text = row.get(name, "")
            keys += 1 + (2 if text and text == above[name] else len(text))
        above = {name: row.get(name, "") for name in columns}
    return keys
