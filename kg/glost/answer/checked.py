"""What checking a collection found, kept from one time to the next.

Findings follow from the collection's files alone, so what was found of the same files is not looked
for again. Images are no part of what is hashed: whether they can be shown is looked at every time.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import msgspec
from rdflib import URIRef

from glost.answer.pictured import KIND, NamedImage, image_finding, images_named
from glost.answer.remarks import Remark, remarks
from glost.answer.snapshot import Snapshot
from glost.findings import Finding, Side, in_order
from glost.plain import plain

PASSING = "change-cut-short"
"""A finding on the reading itself, told when it is made and not again."""

FROM = 5_000
"""Claims from which on a collection is checked by what changed: it takes a second whatever the
size."""


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
    names
        What the things that findings are about are called, with their ids, by IRI.
    """

    claims: int
    findings: tuple[Finding, ...]
    remarks: tuple[Remark, ...] = ()
    names: Mapping[str, str] = field(default_factory=dict)


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
        belief, findings = snapshot.belief, snapshot.findings(validator)
        names = _names(snapshot, (iri for each in findings for iri in each.about))
        return Checked(len(belief.claims), findings, remarks(belief), names)
    read = snapshot.cache.checked(lambda: _found(snapshot))
    found = {*msgspec.convert(read["findings"], tuple[Finding, ...]), *_passing(snapshot)}
    for thing, value, name, sides in read["images"]:
        named = NamedImage(thing, value, name, tuple(Side(**side) for side in sides))
        found.update(image_finding(named, snapshot.collection))
    noted = msgspec.convert(read["remarks"], tuple[Remark, ...])
    return Checked(read["claims"], in_order(found), noted, read["names"])


def _passing(snapshot: Snapshot) -> list[Finding]:
    """Return what was found in reading the files just now, if they were read."""
    read = vars(snapshot).get("record")
    return [each for each in read.findings if each.kind == PASSING] if read is not None else []


def _found(snapshot: Snapshot) -> dict[str, Any]:
    """Check a collection, and return what is kept of that."""
    if len(snapshot.record.claims) < FROM:
        return _told(snapshot, snapshot.findings())
    from glost.answer.earlier import keep_ahead, later  # which take long to import

    workspace = later(snapshot)
    if workspace is not None:
        return _told(workspace.snapshot, workspace.findings)
    told = _told(snapshot, snapshot.findings())
    keep_ahead(snapshot)
    return told


def _told(snapshot: Snapshot, findings: Iterable[Finding]) -> dict[str, Any]:
    """Tell as plain values what was found."""
    found = [each for each in findings if each.kind not in (PASSING, KIND)]
    images = list(images_named(snapshot.belief, snapshot.words))
    about = [iri for each in found for iri in each.about]
    return {
        "claims": len(snapshot.belief.claims),
        "findings": plain(found),
        "remarks": plain(remarks(snapshot.belief)),
        "images": [each.as_list() for each in images],
        "names": _names(snapshot, [*about, *(each.thing for each in images)]),
    }


def _names(snapshot: Snapshot, about: Iterable[str]) -> dict[str, str]:
    """Name things, so that nothing else of the collection is needed to tell what was found."""
    things = {iri.partition("#")[0] for iri in about}
    return {iri: snapshot.words.with_id(URIRef(iri)) for iri in sorted(things)}
