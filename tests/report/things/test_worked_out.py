"""What is calculated of one thing alone is what is calculated of it among all."""

from glost.answer.snapshot import Snapshot
from glost.record.claims import Triple
from glost.report.things.basis import Living, Whole
from glost.report.things.calculated import TOLD


def test_a_thing_alone_is_told_what_it_is_told_among_all(valley: Snapshot) -> None:
    whole, living = Whole(valley), Living(valley)

    def told(triples: "tuple[Triple, ...]") -> list[Triple]:
        return [triple for triple in triples if triple[1] in TOLD]

    among = {thing: told(tuple(whole.worked_out(thing))) for thing in whole.reckoned}
    for thing, some in among.items():
        assert told(tuple(living.worked_out(thing))) == some, thing
    of = {str(triple[0]).split("/wend/")[1].split("/")[0] for s in among.values() for triple in s}
    assert of == {"kiln", "zone", "assortment", "public-statement"}
