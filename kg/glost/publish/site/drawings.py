"""Pictures of a collection in its site: each an SVG, and a page with it and the same in words."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from markupsafe import Markup

from glost.publish.pictures.picture import Drawing
from glost.publish.pictures.subjects import Subject, draw, subjects, told
from glost.publish.site.frame import PageFrame, blocks, fill
from glost.publish.site.holdings import SiteContents
from glost.publish.site.paths import PAGE, quoted, root
from glost.record.errors import RecordErrors

PLACE = "pictures"
"""The folder of the pictures."""

_NAMED = 8
"""How many passages and claims a row of a table names; the table as CSV has them all."""

_ROWS = 300
"""How many rows of a table its page shows; the table as CSV has them all."""

_SECTION = "Pictures"
_UP = root(f"{PLACE}/")

_MANY = 400
"""Things of a kind beyond which the whole of it no longer makes a picture that can be read."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """A picture and where it stands.

    Attributes
    ----------
    name
        Of its files.
    picture
        The picture.
    where
        The kind on whose list it stands, or the identifier on whose page.
    """

    name: str
    picture: Drawing
    where: str

    def sheets(self) -> list[str]:
        """Return the file of each sheet."""
        many = len(self.picture.sheets)
        numbers = [""] if many == 1 else [f"-{number}" for number in range(1, many + 1)]
        return [f"{PLACE}/{self.name}{number}.svg" for number in numbers]


class _Row(NamedTuple):
    """A row of a picture in words: its cells, some of what it rests on, and how much more."""

    cells: tuple[str, ...]
    passages: str
    more_passages: int
    claims: list[tuple[str, str]]
    more_claims: int


class Drawings:
    """Draws a collection for its site.

    Parameters
    ----------
    holdings
        What the site is made of.
    frame
        What stands round every page.
    """

    def __init__(self, holdings: SiteContents, frame: PageFrame) -> None:
        self._held, self._frame = holdings, frame
        self._blocks = blocks()

    @cached_property
    def _wanted(self) -> tuple[tuple[str, str, str, str], ...]:
        """What to draw, of what, under which name, and where it is to stand."""
        wanted = []
        for what, subject in subjects().items():
            for of, kind in filter(self._few, subject.lists):
                wanted.append((what, of, what + (f"-{of}" if of else ""), kind))
            for iri in self._things(subject):
                stem = self._held.addresses.stems[iri].replace("/", "-")
                of = iri.removeprefix(self._held.base)
                wanted.append((what, of, f"{what}-of-{stem}", iri))
        return tuple(wanted)

    @cached_property
    def places(self) -> frozenset[str]:
        """Where pictures may stand: kinds with a list, and identifiers of things."""
        return frozenset(where for *_, where in self._wanted)

    def whole(self) -> Markup:
        """Return the life of every shape, to stand on the front page; empty if nothing is known."""
        found = next((each for each in self.all if each.name == "runs-shapes"), None)
        return Markup("") if found is None else self._inline(found, 0, "")

    def _inline(self, drawn: Drawn, sheet: int, root: str) -> Markup:
        """Return a sheet to stand in a page, where its type is found and its things are links."""
        made = drawn.picture.svg(sheet, self._leading(root), f"-{drawn.name}-{sheet}")
        return Markup(made)

    def _leading(self, root: str) -> Callable[[str], str | None]:
        def link(iri: str) -> str | None:
            file = self._held.addresses.file(iri, PAGE)
            return None if file is None else root + quoted(file)

        return link

    @cached_property
    def all(self) -> tuple[Drawn, ...]:
        """Every picture that can be drawn; what the collection is silent on is left out."""
        found = []
        for what, of, name, where in self._wanted:
            try:
                picture = draw(self._held.snapshot, what, of)
            except RecordErrors:
                continue
            if picture.words.rows:
                found.append(Drawn(name, picture, where))
        return tuple(found)

    def _few(self, listed: tuple[str, str]) -> bool:
        _, kind = listed
        return len(self._held.snapshot.record.ids.get(kind, ())) <= _MANY

    def _things(self, subject: Subject) -> list[str]:
        if subject.things is None:
            return []
        members = sorted(set(map(str, subject.things(self._held.snapshot.belief.graph))))
        return [iri for iri in members[:_MANY] if iri in self._held.addresses.stems]

    def on(self, where: str, root: str) -> list[Markup]:
        """Return the pictures of a list or of a thing, each with the way to the same in words."""
        if where not in self.places:
            return []
        return [self._figure(each, root) for each in self.all if each.where == where]

    def _figure(self, drawn: Drawn, root: str) -> Markup:
        made: Markup = self._blocks.drawn(
            drawn.picture.title, drawn.picture.words.caption, drawn.sheets(),
            f"{PLACE}/{drawn.name}.html", root,
        )  # fmt: skip
        return made

    def files(self) -> Iterator[tuple[str, bytes]]:
        """Yield every sheet, and for each picture the same in words: a page, and all as CSV."""
        for drawn in self.all:
            for number, file in enumerate(drawn.sheets()):
                head = b'<?xml version="1.0" encoding="UTF-8"?>\n'
                yield file, head + drawn.picture.svg(number, self._leading(_UP)).encode()
            words = drawn.picture.words
            table = f"{PLACE}/{drawn.name}.csv"
            yield table, words.csv().encode()
            yield fill(
                "picture.html", f"{PLACE}/{drawn.name}.html", self._frame,
                title=drawn.picture.title, section=_SECTION, caption=words.caption,
                summary=words.summary, columns=words.columns,
                count=len(words.rows), rows=map(self._row, words.rows[:_ROWS]),
                sheets=[
                    (file, self._inline(drawn, number, _UP))
                    for number, file in enumerate(drawn.sheets())
                ],
                table=table,
            )  # fmt: skip
        yield fill(
            "gallery.html", f"{PLACE}/index.html", self._frame, title=_SECTION, section=_SECTION,
            groups=[
                (says, [each for each in self.all if each.name.partition("-")[0] == what])
                for what, says in told().items()
            ],
            place=PLACE,
        )  # fmt: skip

    def _row(self, cells: tuple[str, ...]) -> _Row:
        """Cut what a row rests on, which grows with the collection, to what can be read."""
        *plain, passages, claims = cells
        places, names = passages.split(" | "), claims.split()
        links = [
            (iri.rpartition("/")[2], f"{self._held.addresses.stems[iri]}.html")
            for iri in names[:_NAMED]
            if iri in self._held.addresses.stems
        ]
        return _Row(
            tuple(plain),
            " | ".join(places[:_NAMED]),
            max(0, len(places) - _NAMED),
            links,
            max(0, len(names) - _NAMED),
        )
