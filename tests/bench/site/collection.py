"""An invented collection of any number of things, in tables, to make a site of.

Run as a program, it writes a folder: ``python collection.py THINGS FOLDER``. Of the things some
half are pieces, a fifth articles and offerings of catalogues, and the rest treatments, decals,
shapes, marks and sources, each told of by one claim or more, much as in a real record.
"""

import csv
import random
import sys
from collections.abc import Iterator
from pathlib import Path

_FORMS = ("plate", "saucer", "cup", "teapot", "sugar", "cream", "nappy", "baker", "jug", "bowl")
_SIZES = ("4", "5", "6", "7", "8", "10", "12")
_FIRST = ("Al", "Bel", "Cor", "Dun", "El", "Far", "Gal", "Hol", "Is", "Jar", "Kel", "Lor")
_LAST = ("der", "mont", "wick", "ford", "ham", "stead", "ling", "bury", "combe", "dale", "mere")
_COLOURS = ("rose", "blue", "gold", "green", "lilac", "coral", "amber", "grey")


def _name(at: int) -> str:
    first, last = divmod(at, len(_LAST))
    more, first = divmod(first, len(_FIRST))
    return _FIRST[first] + _LAST[last] + (f" {more}" if more else "")


def rows(things: int) -> Iterator[tuple[str, dict[str, object]]]:
    """Yield the rows of a collection of about so many things, each with its table."""
    draw = random.Random(1)
    potteries, shapes = max(2, things // 1000), max(4, things // 200)
    sources, decals = max(4, things // 200), max(4, things // 50)
    marks, treatments = max(4, things // 100), max(6, things * 3 // 20)
    pieces, lists = things // 2, things * 3 // 20
    for at in range(potteries):
        yield (
            "potteries",
            {
                "pottery": f"pot{at}",
                "name": f"{_name(at)} Pottery",
                "begin": 1880 + at % 20,
                "source": "s1",
                "locator": f"p. {at}",
            },
        )
    for at in range(sources):
        yield (
            "sources",
            {
                "source": f"s{at}",
                "title": f"Catalogue {at} of the {_name(at)} line",
                "kind": "catalogue",
                "date": 1890 + at % 50,
                "pottery": f"pot{at % potteries}",
                "complete": ("yes", "no")[at % 2],
            },
        )
    for at in range(shapes):
        yield (
            "shapes",
            {
                "shape": f"shape{at}",
                "pottery": f"pot{at % potteries}",
                "name": _name(at),
                "begin": 1895 + at % 30,
                "end": 1926 + at % 12,
                "source": f"s{at % sources}",
                "locator": f"p. {at % 40}",
            },
        )
        if at % 7 == 0:
            yield (
                "shapes",
                {
                    "shape": f"shape{at}",
                    "name": _name(at),
                    "begin": 1894 + at % 30,
                    "source": f"s{(at + 1) % sources}",
                    "locator": "p. 2",
                },
            )
        if at % 10 == 3:
            yield (
                "flatware",
                {
                    "shape": f"shape{at}",
                    "with": f"shape{at - 1}",
                    "source": f"s{at % sources}",
                    "locator": "p. 3",
                },
            )
    for at in range(decals):
        yield (
            "decals",
            {
                "decal": f"decal{at}",
                "name": f"{draw.choice(_COLOURS)} spray {at}",
                "printer_number": at,
                "source": f"s{at % sources}",
                "locator": f"sheet {at % 9}",
            },
        )
    for at in range(marks):
        yield (
            "marks",
            {
                "mark": f"mark{at}",
                "pottery": f"pot{at % potteries}",
                "wording": f"{_name(at)} / WARRANTED",
                "applied": "underglaze",
                "begin": 1890 + at % 40,
                "source": f"s{at % sources}",
                "locator": f"p. {at % 30}",
            },
        )
    for at in range(treatments):
        yield (
            "treatments",
            {
                "treatment": f"t{at}",
                "pottery": f"pot{at % shapes % potteries}",
                "number": f"T{at}",
                "decal": f"decal{at % decals}",
                "shape": f"shape{at % shapes}",
                "source": f"s{at % sources}",
                "locator": f"p. {at % 50}",
            },
        )
    for at in range(pieces):
        treatment = draw.randrange(treatments)
        shape = treatment % shapes
        yield (
            "pieces",
            {
                "piece": f"p{at}",
                "pottery": f"pot{shape % potteries}",
                "shape": f"shape{shape}",
                "form": draw.choice(_FORMS),
                "trade_size": draw.choice(_SIZES),
                "treatment": f"t{treatment}",
                "mark": f"mark{at % marks}",
                "features": f"{draw.choice(_COLOURS)} line",
                "held_by": "A society",
                "recorded_by": "E. Marsh",
                "recorded_on": f"20{10 + at % 15}-0{1 + at % 9}-11",
            },
        )
    offered = sorted(
        {
            (
                draw.randrange(sources),
                draw.randrange(shapes // 4 or 1),
                draw.choice(_FORMS),
                draw.choice(_SIZES),
            )
            for _ in range(lists)
        }
    )
    for at, (source, shape, form, size) in enumerate(offered):
        yield (
            "assortments",
            {
                "catalogue": f"s{source}",
                "shape": f"shape{shape}",
                "form": form,
                "trade_size": size,
                "item": at,
                "price": f"${1 + at % 5}.20",
                "per": "dozen",
                "locator": f"p. {at % 30}, item {at}",
            },
        )


def write(things: int, folder: Path) -> None:
    """Write a collection of about so many things into a new folder."""
    tables: dict[str, list[dict[str, object]]] = {}
    for table, row in rows(things):
        tables.setdefault(table, []).append(row)
    (folder / "tables").mkdir(parents=True)
    settings = 'title = "A large shelf"\nbase = "https://example.org/large/"\n'
    settings += 'licence = "https://creativecommons.org/licenses/by/4.0/"\npublisher = "Nobody"\n'
    (folder / "collection.toml").write_text(settings, encoding="utf-8")
    for table, found in tables.items():
        columns = list(dict.fromkeys(name for row in found for name in row))
        with (folder / "tables" / f"{table}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, columns, lineterminator="\n")
            writer.writeheader()
            writer.writerows(found)


if __name__ == "__main__":
    write(int(sys.argv[1]), Path(sys.argv[2]))
