"""Pairs of made-up catalogues whose true links are known; every name in them is invented."""

import random

import polars as pl

FORMS = [
    "plate",
    "platter",
    "baker",
    "nappy",
    "saucer",
    "fruit",
    "oatmeal",
    "bowl",
    "teacup",
    "coffee-cup",
    "cream",
    "sugar",
    "teapot",
    "jug",
    "casserole",
    "sauceboat",
    "covered-butter",
    "pickle-dish",
    "egg-cup",
    "tureen",
]
FLAT = {"plate", "platter", "saucer", "fruit", "oatmeal", "pickle dish"}
OTHER_WORDS = {
    "platter": "dish, flat", "nappy": "nappie", "teacup": "tea cup", "cream": "creamer",
    "casserole": "covered dish, round", "sugar": "sugar bowl", "baker": "baker, oval",
}  # fmt: skip
"""Words that no vocabulary has for these forms, so that they count as others."""
SYLLABLES = [
    "bar",
    "cor",
    "dun",
    "el",
    "fen",
    "gar",
    "hol",
    "il",
    "mar",
    "nor",
    "os",
    "pel",
    "quen",
    "rud",
    "sel",
    "tam",
    "ul",
    "ven",
    "wic",
    "yar",
]

Row = tuple[str, str, str, int | None, str, str, float]
"""Which article it is, shape, form, size, count, item number, price."""


def shapes(number: int, series: int, chance: random.Random) -> list[str]:
    """Make up names; with series each name comes so many times, told apart by a number."""
    names: set[str] = set()
    while len(names) * series < number:
        names.add("".join(chance.sample(SYLLABLES, chance.choice([2, 2, 3]))).capitalize())
    return [n if series == 1 else f"{n} {i}" for n in sorted(names) for i in range(series)]


def swapped(text: str, chance: random.Random, share: float) -> str:
    """Swap two letters now and then, as copyists and scanners do."""
    if chance.random() >= share or len(text) < 4:
        return text
    at = chance.randrange(len(text) - 1)
    return text[:at] + text[at + 1] + text[at] + text[at + 2 :]


def pair(lines: int, seed: int, series: int = 1) -> tuple[list[Row], list[Row]]:
    """Return two lists, each in the order of its shapes and item numbers.

    Four in five lines come again, with other words for a form (six in ten of those that have any),
    a size measured otherwise (one in four), another item number (four in ten) or price (half), and
    now and then a slip in a word.
    """
    chance = random.Random(seed)
    articles = [
        (shape, form, int(size), count)
        for shape in shapes(max(4, lines // 25), series, chance)
        for form in FORMS
        for size in chance.sample(["4", "5", "6", "7", "8", "9", "10", "12"], 2)
        for count in [chance.choice(["24", "30", "36"])]
    ]
    one: list[Row] = []
    other: list[Row] = []
    for at, (shape, form, size, count) in enumerate(chance.sample(articles, lines)):
        item, price = str(100 + at), round(chance.uniform(0.4, 8), 2)
        words = form.replace("-", " ")
        sized = chance.random() < 0.7
        one.append((str(at), shape, words, size if sized else None, count, item, price))
        if chance.random() < 0.8:
            again = OTHER_WORDS.get(words, words) if chance.random() < 0.6 else words
            measured = size + chance.choice([1, 2]) if chance.random() < 0.25 else size
            number = item if chance.random() < 0.6 else str(chance.randrange(100, 100 + lines))
            cost = round(price * chance.choice([1, 1, 1.1, 1.25]), 2)
            name, word = swapped(shape, chance, 0.25), swapped(again, chance, 0.15)
            given = measured if sized else None
            other.append((str(at), name, word, given, count, number, cost))
    for rows in (one, other):
        rows.sort(key=lambda row: (row[1], int(row[5])))
    return one, other


def frame(rows: list[Row]) -> pl.DataFrame:
    """Return a list as columns, as they are compared."""
    return pl.DataFrame(
        {
            "id": range(len(rows)),
            "shape": [row[1].casefold() for row in rows],
            "form": [row[2].casefold() for row in rows],
            "form_class": ["flat" if row[2] in FLAT else "hollow" for row in rows],
            "size": pl.Series([row[3] for row in rows], dtype=pl.Float64),
            "count": [row[4] for row in rows],
            "number": [row[5] for row in rows],
            "price": [row[6] for row in rows],
            "place": [at / max(len(rows) - 1, 1) for at in range(len(rows))],
        }
    )
