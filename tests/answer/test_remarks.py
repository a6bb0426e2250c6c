"""What was noted of claims stands beside what is found of just those claims."""

from pathlib import Path

import shelf
from glost.answer.checked import checked
from glost.answer.remarks import Remark, noted
from glost.answer.snapshot import Snapshot
from glost.findings import Side
from glost.report.results import findings
from glost.report.tree import Group

SHAPES = (
    "shape,name,begin,source,locator,claim\n"
    "alder,Alder,1908,cat1908,p. 3,list\nalder,Alder,1910,letter,,letter\n"
    "birch,Birch,1911,cat1911,,birch\n"
)
REMARKS = (
    "remark,on,text,source,locator\n"
    "r1,letter|list,Wait for the list of 1912.,cat1911,p. 7\n"
    "r2,birch,By another hand.,letter,\n"
)


def test_a_note_is_told_with_a_finding_of_all_its_claims_and_with_no_other() -> None:
    def note(*on: str) -> Remark:
        return Remark(on, Side("so", "note", "a source"))

    some = [note("a"), note("a", "b"), note("a", "c")]
    assert noted(some, ["b", "a"]) == some[:2]
    assert noted(some, ["c"]) == []
    assert noted(some, ["a", "note"]) == [], "it is found already"
    assert [each.manner for each in some] == ["Doubted", "Left open", "Left open"]


def test_the_check_tells_a_note_under_the_conflict_with_what_it_rests_on(tmp_path: Path) -> None:
    folder = shelf.write(tmp_path / "shelf", shapes=SHAPES, remarks=REMARKS)
    told = checked(Snapshot(folder))
    report = findings.told(told.findings, str, "Check", remarks=told.remarks)
    parts = report.sections[0].parts
    made = [each for part in parts if isinstance(part, Group) for each in part.statements]
    (conflict,) = [each for each in made if "1908 or 1910" in str(each)]
    lines = [str(each) for each in conflict.parts]
    (note,) = [line for line in lines if "Wait for the list of 1912." in line]
    assert note == "Left open: Wait for the list of 1912. [Catalogue No. 5, 1911, p. 7]"
    assert lines.index(note) == len(lines) - 2, "after both sides, before what could be done"
    (doubt,) = [each for each in made if "By another hand." in str(each)]
    assert not [each for each in doubt.parts if str(each).startswith("Doubted")], "told already"
