"""What checking a collection found, kept from one time to the next.

Findings follow from the collection's files alone, so what was found of the same files is not looked
for again. Images are no part of what is hashed: whether they can be shown is looked at every time.
"""

from dataclasses import dataclass
from typing import Any

import msgspec

from glost.answer.pictured import KIND, NamedImage, image_finding, images_named
from glost.answer.remarks import Remark, remarks
from glost.answer.snapshot import Snapshot
from glost.findings import Finding, Side, in_order
from glost.plain import plain

PASSING = "change-cut-short"
"""A finding on the reading itself, told when it is made and not again."""


@dataclass(frozen=True, slots=True)
class Checked:
    """What checking found.

    Attributes
    ----------
    claims
        How many claims hold.
    findings
        Everything found wrong, in the order of `glost.findings.in_order`.
    remarks
        What was noted of claims that are left open or doubted.
    """

    claims: int
    findings: tuple[Finding, ...]
    remarks: tuple[Remark, ...] = ()


def checked(snapshot: Snapshot, validator: str | None = None) -> Checked:
    """Check a collection, or tell what was found when it was checked before.

    Parameters
    ----------
    snapshot
        The collection.
    validator
        As in `glost.answer.shacl.begin`; if one is named, it is run.

    Raises
    ------
    glost.record.errors.RecordErrors
        If its files cannot be read.
    """
    if validator is not None or snapshot.cache is None:
        belief = snapshot.belief
        return Checked(len(belief.claims), snapshot.findings(validator), remarks(belief))
    read = snapshot.cache.checked(lambda: _found(snapshot))
    found = {*msgspec.convert(read["findings"], tuple[Finding, ...]), *_passing(snapshot)}
    for thing, value, name, sides in read["images"]:
        named = NamedImage(thing, value, name, tuple(Side(**side) for side in sides))
        found.update(image_finding(named, snapshot.collection))
    noted = msgspec.convert(read["remarks"], tuple[Remark, ...])
    return Checked(read["claims"], in_order(found), noted)


def _passing(snapshot: Snapshot) -> list[Finding]:
    """Return what was found in reading the files just now, if they were read."""
    read = vars(snapshot).get("record")
    return [each for each in read.findings if each.kind == PASSING] if read is not None else []


def _found(snapshot: Snapshot) -> dict[str, Any]:
    """Check a collection, and return what is kept of that."""
    _ = snapshot.record
    found = [each for each in snapshot.findings() if each.kind not in (PASSING, KIND)]
    return {
        "claims": len(snapshot.belief.claims),
        "findings": plain(found),
        "remarks": plain(remarks(snapshot.belief)),
        "images": [each.as_list() for each in images_named(snapshot.belief, snapshot.words)],
    }
