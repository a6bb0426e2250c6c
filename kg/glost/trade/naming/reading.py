"""What a user writes of a piece, turned into what is seen: ids, names and terms looked up."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING
from urllib.parse import quote

from rdflib import URIRef

from glost.record.errors import RecordError, suggestion
from glost.trade.naming.seen import Seen
from glost.words.lookup import names_of

if TYPE_CHECKING:
    from glost.record.record import Record

THINGS = {
    "pottery": "pottery",
    "shape": "shape",
    "treatment": "treatment",
    "glaze": "glaze",
    "plant": "plant",
}
"""What is looked up among the record's things, and the kind it must be of."""
TEXTS = ("size", "rim", "handle", "finial", "foot", "lid_fit", "number", "date_code", "country")
"""What is taken as written."""
COLUMNS = (*THINGS, "form", "features", "mark", *TEXTS)
"""Everything that may be said of a piece."""


class Reader:
    """Looks up what a user writes of pieces.

    Parameters
    ----------
    record
        The record whose things and terms may be named.
    """

    def __init__(self, record: "Record") -> None:
        self._record = record

    def read(
        self, given: Mapping[str, str], file: str, row: int = 0
    ) -> tuple[Seen, list[RecordError]]:
        """Read what is said of one piece.

        Parameters
        ----------
        given
            Text by column, see `COLUMNS`. Several marks or features are parted by ``|``. A mark is
            an id, or else its wording as it can be read, ``?`` for a worn letter.
        file, row
            Where it stands, for errors.

        Returns
        -------
        tuple
            What is seen, and everything that is wrong with what was written.
        """
        errors: list[RecordError] = []
        found: dict[str, URIRef | None] = {}

        def wrong(column: str, text: str, message: str, remedy: str) -> None:
            errors.append(RecordError(file, message, remedy, row, column, text))

        for column, kind in THINGS.items():
            text = given.get(column, "").strip()
            found[column] = self._thing(kind, text) if text else None
            if text and found[column] is None:
                remedy = self._instead(kind, text)
                wrong(column, text, f'there is no one {kind} "{text}"', remedy)
        form = given.get("form", "").strip()
        found["form"] = self._form(form) if form else None
        if form and found["form"] is None:
            wrong("form", form, f'"{form}" is not one form of the list', self._form_instead(form))
        marks, unknown = self._marks(given.get("mark", ""))
        if marks and unknown:
            text = " ".join(unknown)
            remedy = "give ids of marks only, or one reading only"
            wrong("mark", text, f'no recorded mark is called "{text}"', remedy)
        features = tuple(each.strip() for each in given.get("features", "").split("|"))
        seen = Seen(
            pottery=found["pottery"],
            shape=found["shape"],
            treatment=found["treatment"],
            glaze=found["glaze"],
            plant=found["plant"],
            form=found["form"],
            features=tuple(filter(None, features)),
            marks=marks,
            mark_read="" if marks else " ".join(unknown),
        )
        texts = {name: given.get(name, "").strip() for name in TEXTS}
        seen = replace(seen, **texts)  # type: ignore[arg-type]
        return seen, errors

    def _thing(self, kind: str, text: str) -> URIRef | None:
        """Find the one thing of a kind that a text may mean; see `glost.words.lookup`."""
        if text in self._record.ids.get(kind, ()):
            return URIRef(f"{self._record.base}{kind}/{quote(text, safe='')}")
        found = names_of(self._record).find(text, (kind,), whole=kind == "mark")
        return URIRef(found[0]) if len(found) == 1 else None

    def _instead(self, kind: str, text: str) -> str:
        names = names_of(self._record)
        found = names.find(text, (kind,))
        if found:
            return f"write which: {names.several(found)}"
        return names.instead(text, (kind,)) or _list(sorted(self._record.ids.get(kind, ())))

    def _form(self, text: str) -> URIRef | None:
        scheme = self._record.schemes["form"]
        ids = scheme.find(text.removeprefix("form/"))
        return scheme.iris[ids[0]] if len(ids) == 1 else None

    def _form_instead(self, text: str) -> str:
        scheme = self._record.schemes["form"]
        ids = scheme.find(text)
        if ids:
            return f"write which: {', '.join(sorted(ids))}"
        return suggestion(text, scheme.spellings, "see ontology/schemes/form.ttl")

    def _marks(self, text: str) -> tuple[tuple[URIRef, ...], list[str]]:
        """Part marks known by id or whole wording from what is only read as far as it can be."""
        marks, read = [], []
        for part in filter(None, (each.strip() for each in text.split("|"))):
            mark = self._thing("mark", part)
            if mark is None:
                read.append(part)
            else:
                marks.append(mark)
        return tuple(marks), read


def _list(ids: Iterable[str], most: int = 12) -> str:
    every = list(ids)
    more = f" and {len(every) - most} more" if len(every) > most else ""
    return f"there are {', '.join(every[:most])}{more}" if every else "the record describes none"
