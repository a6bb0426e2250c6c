"""Tables changed at random, a row at a time, as somebody with a spreadsheet might."""

import csv
from pathlib import Path
from random import Random


def change_a_row(folder: Path, draw: Random) -> str:
    """Change, add, move or take out a row of a table of a collection; say what was done.

    Parameters
    ----------
    folder
        The collection's folder. What comes of it need not be a collection that can be read.
    draw
        Draws what is changed.
    """
    tables = sorted((folder / "tables").glob("*.csv"))
    path = draw.choice([each for each in tables if len(_read(each)[1]) > 1])
    header, rows = _read(path)
    at = draw.randrange(len(rows))
    doing = draw.choice(("cell", "cell", "cell", "new", "out", "up"))
    if doing == "cell":
        column = draw.choice([each for each in header if any(row[each] for row in rows)])
        rows[at][column] = draw.choice(["", *(row[column] for row in rows)])
        doing = f"cell {column}"
    elif doing == "new":
        rows.insert(draw.randrange(len(rows) + 1), {**rows[at], "claim": ""})
        if header[0] in rows[at]:
            rows[at][header[0]] = draw.choice([row[header[0]] for row in rows])
    elif doing == "up":
        rows.insert(draw.randrange(len(rows)), rows.pop(at))
    else:
        rows.pop(at)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, header, lineterminator="\n", extrasaction="ignore")
        writer.writeheader()
        writer.writerows(rows)
    return f"{path.name} row {at + 2}: {doing}"


def _read(path: Path) -> tuple[list[str], list[dict[str, str]]]:
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        rows = list(reader)
        return list(reader.fieldnames or ()), rows
