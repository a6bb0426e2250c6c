"""What the commands on codes share: which schemes are meant."""

from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.record.errors import RecordError, RecordErrors
from glost.trade.codes import CodeScheme
from glost.trade.codes.schemes import schemes


def schemes_of(snapshot: Snapshot, pottery: str, named: str) -> tuple[CodeScheme, ...]:
    """Return the schemes of a pottery, or the one named, or all; RecordErrors if there is none."""
    known = schemes(snapshot.belief, snapshot.record.collection.margin)
    if pottery:
        iri = find_thing(snapshot.record, pottery, "pottery")
        known = tuple(scheme for scheme in known if iri in scheme.potteries)
    if named:
        iri = find_thing(snapshot.record, named, "scheme")
        known = tuple(scheme for scheme in known if scheme.iri == iri)
    if not known:
        remedy = "enter one in tables/code_schemes.csv and tables/code_parts.csv"
        raise RecordErrors(
            [RecordError(str(snapshot.path), "there is no such code scheme", remedy)]
        )
    return known
