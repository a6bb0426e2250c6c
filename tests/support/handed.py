"""A collection that lost a row between two hand-overs, and stores to hand it over to."""

from pathlib import Path

from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.publish.handover.batches import Size
from glost.publish.handover.plan import Plan
from glost.publish.handover.sending import Outcome, hand_over
from glost.publish.handover.store import Store
from shelf import TABLES, write

BASE = "https://example.org/shelf/"
BELIEVED = URIRef(f"{BASE}believed")
NOTE = URIRef(f"{BASE}.well-known/handed-over")
SMALL = Size(2_000, 400_000)
LOST = "c3,harrow,C3,Lost,alder,cat1908,p. 11,lost\n"
GONE = URIRef(f"{BASE}claim/lost")


def before_and_after(folder: Path) -> tuple[Plan, Plan]:
    """Return what is handed over with the row, and without it."""
    before = write(folder / "before", treatments=TABLES["treatments"] + LOST)
    after = write(folder / "after")
    return tuple(Plan(Snapshot(each).contents, BELIEVED) for each in (before, after))  # type: ignore[return-value]


def handed(plan: Plan, store: Store, folder: Path) -> Outcome:
    """Hand over in small requests."""
    return hand_over(plan, store, folder / "state.json", size=SMALL, pause=0.01)
