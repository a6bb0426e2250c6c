"""What pieces are named by, and what things are called, after changes: as looked up from nothing."""

from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any

from rdflib import URIRef
from rdflib.namespace import RDF

from glost.answer.living.naming import KnownNow
from glost.answer.snapshot import Snapshot
from glost.answer.workspace import Workspace
from glost.names import GLOST, SCHEMES
from glost.record.record import read
from glost.record.sequence import ClaimSequence
from glost.trade.naming import Naming, RankedShape, Seen, ranked, seen_on
from glost.trade.naming.known import Known
from walks import Walker

TOP = Path(__file__).parents[3]
SEED, STEPS = 1, 12
PLATE = URIRef(f"{SCHEMES}form/plate")


def told(naming: Naming) -> dict[str, Any]:
    """Return all that is told of a piece."""

    def of(candidate: RankedShape) -> tuple[Any, ...]:
        points = [
            (p.weight, p.says, [(c.iri, str(c.origin)) for c in p.claims]) for p in candidate.points
        ]
        like = [(e.other, e.words, e.look, e.claims) for e in candidate.likenesses]
        return candidate.shape, candidate.score, points, like

    return {
        "candidates": list(map(of, naming.candidates)),
        "ruled out": list(map(of, naming.ruled_out)),
        "looks": [(e.observation, e.left, e.chance, e.values, e.claims) for e in naming.next_looks],
    }


def some_seen(known: Known, draw: Random) -> list[Seen]:
    """Return what is seen on a few pieces of a collection, some of it worn or left out."""
    found = []
    pieces = known.belief.things(GLOST.Piece)
    for piece in draw.sample(pieces, min(3, len(pieces))):
        seen = seen_on(known.belief, piece)
        worn = f"?{seen.number[1:]}" if seen.number else ""
        found += [seen, replace(seen, treatment=None, number=worn), replace(seen, form=None)]
    return found


def test_after_any_changes_pieces_and_labels_are_as_from_nothing() -> None:
    workspace, draw = Workspace(Snapshot.of(read(TOP / "tests/answer/little"))), Random(SEED)
    for _ in workspace.naming.readying():
        pass
    walker, kept, changed = Walker(workspace, SEED), workspace.naming, set[str]()
    for _ in range(STEPS):
        taken = walker.step()
        record = workspace.record
        claims = ClaimSequence.given(sorted(record.claims, key=lambda claim: claim.iri))
        anew = Snapshot.of(replace(record, claims=claims, _beliefs={}))
        things = sorted({t for s in anew.belief.graph for t in s if isinstance(t, URIRef)})
        called = {thing: workspace.snapshot.words.label(thing) for thing in things}
        assert called == {thing: anew.words.label(thing) for thing in things}, taken
        known = Known(anew.belief, anew.words)
        for seen in some_seen(known, draw):
            assert told(ranked(kept, seen)) == told(ranked(known, seen)), (taken, seen)
        changed.add(str(told(ranked(kept, Seen(form=PLATE)))))
    assert kept is workspace.naming
    assert len(changed) > 1, "the walk bears on what pieces are named by"


def test_what_is_made_of_what_is_made_again_is_made_again_too() -> None:
    snapshot = Snapshot.of(read(TOP / "tests/answer/little"))
    known, made = KnownNow(snapshot), list[str]()

    def inner() -> int:
        made.append("inner")
        return len(known.belief.things(GLOST.Shape))

    def outer() -> int:
        made.append("outer")
        return known.once(("inner",), inner)

    many = known.once(("outer",), outer)
    assert many == known.once(("outer",), outer) == len(known.shapes) and made == ["outer", "inner"]
    shape = known.shapes[0]
    known.revise(snapshot, [(shape, GLOST.madeBy, shape)])
    assert known.once(("outer",), outer) == many and len(made) == 2, "it looked at no maker"
    known.revise(snapshot, [(shape, RDF.type, GLOST.Shape)])
    assert known.once(("outer",), outer) == many and made == ["outer", "inner"] * 2
