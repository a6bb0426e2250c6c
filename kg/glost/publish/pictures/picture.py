"""A picture made: its sheets as SVG and PNG, and the same in words."""

import csv
import io
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.svg import svg
from glost.record.spreadsheets import guarded
from glost.record.transaction import WORK, Place, changing

FORMATS = (".svg", ".png")
"""Endings of the files that can be written."""

_CAPTION = 220


@dataclass(frozen=True, slots=True)
class PictureWords:
    """What a picture shows, in words.

    Attributes
    ----------
    summary
        A sentence or a few.
    columns, rows
        A table of the same data; the last two columns give passages and claims.
    """

    summary: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    @property
    def caption(self) -> str:
        """What to see, in a line or two: as many of the summary's first sentences as fit."""
        said = ""
        for sentence in re.split(r"(?<=[.]) ", self.summary):
            if said and len(said) + len(sentence) > _CAPTION:
                break
            said = f"{said} {sentence}".strip()
        return said if len(said) <= 2 * _CAPTION else said[: 2 * _CAPTION].rsplit(" ", 1)[0] + " …"

    def csv(self) -> str:
        """Return the table as CSV (RFC 4180, but lines end in a newline alone), none of it run."""
        text = io.StringIO()
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(self.columns)
        writer.writerows(map(guarded, row) for row in self.rows)
        return text.getvalue()


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture of one or more sheets, each of which fits A4 and US Letter.

    Attributes
    ----------
    title
        What it shows.
    words
        The same in words, for those who cannot see it and to look things up in.
    sheets
        Draw each sheet.
    """

    title: str
    words: PictureWords
    sheets: tuple[Callable[[], Canvas], ...]

    def svg(
        self, sheet: int = 0, link: Callable[[str], str | None] = lambda iri: iri, mark: str = ""
    ) -> str:
        """Return a sheet as SVG, the same text every time; see `glost.publish.pictures.svg.svg`.

        Parameters
        ----------
        sheet
            Which, counted from 0.
        link
            Where a thing that is drawn leads, by its IRI; None if nowhere.
        mark
            What keeps its identifiers apart from those of other sheets on the same page.

        Returns
        -------
        str
            One ``svg`` element, to stand alone or inside HTML: size in points, title and
            description for readers of screens.

        Raises
        ------
        IndexError
            If there is no such sheet.
        """
        title = self.title + self._which(sheet)
        return svg(self.sheets[sheet](), title, self.words.summary, link, mark)

    def png(self, sheet: int = 0, dpi: int = 200) -> bytes:
        """Return a sheet as PNG, the same bytes every time; IndexError if there is none such."""
        from glost.publish.pictures.raster import png  # SVG needs nothing of what it imports

        said = {"Title": self.title + self._which(sheet), "Description": self.words.summary}
        return png(self.sheets[sheet](), dpi, said)

    def _which(self, sheet: int) -> str:
        return f", sheet {sheet + 1} of {len(self.sheets)}" if len(self.sheets) > 1 else ""

    def write(self, path: Path) -> list[Path]:
        """Write every sheet: ``runs.svg``, or ``runs-1.svg``, ``runs-2.svg`` if there are several.

        Parameters
        ----------
        path
            Where to; the ending says whether as SVG or PNG.

        Returns
        -------
        list of Path
            The files written.

        Raises
        ------
        ValueError
            If the ending is neither.
        OSError
            If a file cannot be written; none is then.
        """
        ending = path.suffix.lower()
        if ending not in FORMATS:
            raise ValueError(f'"{path.name}" must end in {" or ".join(FORMATS)}')
        make: Callable[..., str | bytes] = self.svg if ending == ".svg" else self.png
        names = [path.name]
        if len(self.sheets) > 1:
            names = [f"{path.stem}-{n + 1}{path.suffix}" for n in range(len(self.sheets))]
        folder = path.parent.resolve()
        with changing(Place(folder, folder / f".{path.name}{WORK}"), f"draw {path}") as change:
            for sheet, name in enumerate(names):
                change.put(name, make(sheet))
            change.commit()
        return [path.with_name(name) for name in names]
