"""A made-up family of any size, for pictures: potteries, members with lives, ties among them."""

import random

from glost.publish.pictures.model import Basis, Family, Lane, Life, Member, Tie
from glost.record.dates import day_number

RELATIONS = ("copied", "redesigned", "reissued", "derived", "moulds", "flatware")
NAMES = (
    "Alder", "Birch", "Lady Ansty", "Old Colony Plain", "Cedar", "Pump-House Garland", "Fir",
    "T-311 (Towpath Hedge)", "Larkspur Lane", "New Dorrance",
)  # fmt: skip


def large_family(count: int, lanes: int = 6, seed: int = 1) -> Family:
    """Make a family of so many members: every tenth undated, every eighth disputed."""
    dice = random.Random(seed)
    members, ties = [], []
    for place in range(count):
        begin = 1890 + place * 50 // count
        end = begin + dice.randint(2, 18)
        life = Life(_year(begin, 1), _year(end, 3), place % 8 == 7)
        if place % 10 == 9:
            life = Life()
        elif place % 9 == 5:
            life = Life(_year(begin, 1), (None, None))
        name = f"{NAMES[place % len(NAMES)]} {place}"
        note = f"designer E. Moth {place}" if place % 5 == 0 else ""
        basis = Basis((f"https://example.org/claim/{place}",), (f"List {place}, p. 3",))
        members.append(Member(name, dice.randrange(lanes), life, note, f"shape/{place}", basis))
    for later in range(1, count):
        earlier = dice.randrange(max(0, later - 12), later)
        certainty = dice.choice(("", "probable", "possible", "doubtful"))
        relation = dice.choice(RELATIONS)
        basis = Basis((f"https://example.org/claim/t{later}",), (f"Letter {later}",))
        ties.append(Tie(earlier, later, relation, certainty, later % 17 == 3, basis))
    potteries = tuple(
        Lane(f"Pottery of the Upper Valley No. {at}", Life(_year(1888, 1), (None, None)))
        for at in range(lanes)
    )
    return Family("A large family", potteries, tuple(members), tuple(ties), (), "Made up.")


def _year(year: int, years: int) -> tuple[int, int]:
    return day_number(year, 1, 1), day_number(year + years - 1, 12, 31)
