"""The claims of a record in the order of their IRIs, each made when somebody asks for it.

A million rows are a few columns; a million claims are many times as much memory and time. What
looks at all claims one by one makes them all, once; what can do with columns makes none.
"""

from bisect import bisect_left
from collections import ChainMap
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from heapq import nlargest
from typing import overload

import numpy as np
import polars as pl
from numpy.typing import NDArray

from glost.record.claims import Claim
from glost.record.rows import ClaimRows, Rows

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

_AT_ONCE = 1_500
"""So many claims are made at one go."""


class _Shelf:
    """All claims of a record, by number.

    Parameters
    ----------
    sheets
        The rows that are claims.
    given
        The claims that are no rows.
    placed
        A row for each claim: its `iri`, the place of its `sheet`, and of its row there, `at`; for
        one that is no row, as many as there are sheets, and its place among `given`.
    """

    def __init__(
        self, sheets: Sequence[ClaimRows], given: Sequence[Claim], placed: pl.DataFrame
    ) -> None:
        self.sheets = tuple(sheets)
        self.given = tuple(given)
        self.iris = placed["iri"]
        self.sheet: Ints = placed["sheet"].cast(pl.Int64).to_numpy()
        self.at: Ints = placed["at"].cast(pl.Int64).to_numpy()
        self._made: dict[int, Claim] = {}

    @cached_property
    def every(self) -> tuple[Claim, ...]:
        """All claims, made."""
        return self._in_place([*(each.claims() for each in self.sheets), self.given])

    def completing(self) -> Iterator[None]:
        """Make all claims, so many at each step."""
        if "every" in vars(self):
            return
        made: list[Sequence[Claim]] = []
        for each in self.sheets:
            claims: list[Claim] = []
            for part in each.in_parts(_AT_ONCE):
                claims += part
                yield
            made.append(claims)
        vars(self).setdefault("every", self._in_place([*made, self.given]))

    def _in_place(self, made: Sequence[Sequence[Claim]]) -> tuple[Claim, ...]:
        """Return claims in the order of their numbers, those that were made before as they are."""
        places = zip(self.sheet.tolist(), self.at.tolist(), strict=True)
        claims = [made[sheet][at] for sheet, at in places]
        for number, claim in self._made.items():
            claims[number] = claim
        return tuple(claims)

    def claim(self, number: int) -> Claim:
        """Return one claim; makes no other."""
        if "every" in self.__dict__:
            return self.every[number]
        sheet, at = int(self.sheet[number]), int(self.at[number])
        if sheet == len(self.sheets):
            return self.given[at]
        if number not in self._made:
            self._made[number] = self.sheets[sheet].claim(at)
        return self._made[number]

    @cached_property
    def numbers(self) -> ChainMap[str, int]:
        """The number of each claim by its IRI: of those that came by growing, and of the others."""
        return ChainMap({}, dict(zip(self.iris.to_list(), range(len(self.iris)), strict=True)))

    def with_more(self, claims: Sequence[Claim]) -> "_Shelf":
        """Return the same with further claims, that are no rows and have the next numbers.

        What is made stays made: a claim keeps its number on every shelf that grows from this one.
        """
        if not claims:
            return self
        grown = object.__new__(_Shelf)
        places = np.arange(len(self.given), len(self.given) + len(claims))
        grown.sheets, grown.given = self.sheets, (*self.given, *claims)
        grown.iris = self.iris.clone().append(pl.Series("iri", [str(c.iri) for c in claims]))
        grown.sheet = np.concatenate([self.sheet, np.full(len(claims), len(self.sheets))])
        grown.at = np.concatenate([self.at, places])
        grown._made = self._made
        if "every" in self.__dict__:
            grown.__dict__["every"] = (*self.every, *claims)
        first = len(self.iris)
        grown_by, others = self.numbers.maps
        more = {str(claim.iri): first + at for at, claim in enumerate(claims)}
        grown.__dict__["numbers"] = ChainMap({**grown_by, **more}, others)
        return grown

    def flags(self, of_rows: Sequence[pl.Series | Flags], of_given: Sequence[bool]) -> Flags:
        """Put flags of each sheet's rows and of what is no row in the order of the claims."""
        parts = [np.asarray(part, np.bool_) for part in (*of_rows, of_given)]
        starts = np.cumsum([0, *(len(part) for part in parts[:-1])])
        return np.concatenate(parts)[starts[self.sheet] + self.at]

    def texts(self, of_rows: Sequence[pl.Series], of_given: Sequence[str]) -> list[str]:
        """Put texts of each sheet's rows and of what is no row in the order of the claims."""
        parts = [*of_rows, pl.Series(of_given, dtype=pl.String)]
        starts = np.cumsum([0, *(len(part) for part in parts[:-1])])
        told = pl.concat(parts).to_list()
        return [told[place] for place in (starts[self.sheet] + self.at).tolist()]


@dataclass(frozen=True, slots=True)
class SheetPart:
    """The claims of a sequence that are rows of one sheet.

    Attributes
    ----------
    rows
        The sheet's rows.
    at
        The row of each claim, counted from 0.
    places
        The place of each in the sequence.
    """

    rows: Rows
    at: Ints
    places: Ints


class ClaimSequence(Sequence[Claim]):
    """Claims in an order, each made when it is asked for and then kept.

    Parameters
    ----------
    shelf
        What makes them.
    numbers
        Their numbers there.
    instead
        By number, claims that stand here in place of the shelf's.
    """

    def __init__(
        self, shelf: _Shelf, numbers: Ints, instead: Mapping[int, Claim] | None = None
    ) -> None:
        self._shelf = shelf
        self._numbers = numbers
        self._instead = instead or {}

    @classmethod
    def of(cls, sheets: Sequence[ClaimRows], given: Sequence[Claim]) -> "ClaimSequence":
        """Put claims in the order of their IRIs, each once: where two bear one, the first.

        Parameters
        ----------
        sheets
            Rows that are claims.
        given
            Claims that are no rows.
        """
        placed = _placed(sheets, given)
        placed = placed.unique("iri", keep="first", maintain_order=True).sort("iri")
        return cls(_Shelf(sheets, given, placed), np.arange(placed.height))

    @classmethod
    def given(cls, claims: Iterable[Claim]) -> "ClaimSequence":
        """Hold claims in the order in which they come."""
        if isinstance(claims, cls):
            return claims
        claims = tuple(claims)
        return cls(_Shelf((), claims, _placed((), claims)), np.arange(len(claims)))

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self._numbers)

    @overload
    def __getitem__(self, place: int) -> Claim: ...
    @overload
    def __getitem__(self, place: slice) -> "ClaimSequence": ...
    def __getitem__(self, place: int | slice) -> "Claim | ClaimSequence":
        """Return the claim at a place, or those of a slice."""
        if isinstance(place, slice):
            return ClaimSequence(self._shelf, self._numbers[place], self._instead)
        return self._claim(int(self._numbers[place]))

    def _claim(self, number: int) -> Claim:
        found = self._instead.get(number)
        return self._shelf.claim(number) if found is None else found

    def __iter__(self) -> Iterator[Claim]:
        """Go through the claims; to go through a good part of a record makes all of it."""
        if len(self) * 4 < len(self._shelf.at):
            return map(self._claim, self._numbers.tolist())
        every, instead = self._shelf.every, self._instead
        return (instead.get(number) or every[number] for number in self._numbers.tolist())

    def __eq__(self, other: object) -> bool:
        """Return whether the other, or a tuple, has the same claims in the same order."""
        if not isinstance(other, ClaimSequence | tuple):
            return NotImplemented
        return tuple(self) == tuple(other)

    def __hash__(self) -> int:
        """Return the same number for equal sequences."""
        return hash(tuple(self))

    def at(self, iri: str) -> Claim | None:
        """Return the claim of an IRI among claims in IRI order, as `find` does of any; at once."""
        place, here = _place(self._shelf, self._numbers, str(iri))
        return self[place] if here else None

    def find(self, iri: str) -> Claim | None:
        """Return the claim of an IRI; None if it is not among these.

        No threads of polars take part, which do not survive a fork.
        """
        places = np.flatnonzero(self._numbers == self._shelf.numbers.get(str(iri), -1))
        return self[int(places[0])] if len(places) else None

    def until(self, day: str) -> "ClaimSequence":
        """Return those recorded on a day, ``YYYY-MM-DD``, or before, or of which no day is said."""
        shelf = self._shelf
        rows = [each.cells("recorded_on") <= day for each in shelf.sheets]
        return self._such(rows, lambda claim: claim.recorded_on <= day)

    def only(self, iris: Iterable[str]) -> "ClaimSequence":
        """Return those that bear one of some IRIs."""
        return self._kept(self._bearing(iris))

    def without(self, iris: Iterable[str]) -> "ClaimSequence":
        """Return those that bear none of some IRIs."""
        return self._kept(~self._bearing(iris))

    def with_instead(self, claims: Iterable[Claim]) -> "ClaimSequence":
        """Return the same with some claims in place of those that bear the same IRIs."""
        places = {str(claim.iri): claim for claim in claims}
        found = self.places(places)
        numbers = {int(self._numbers[at]): places[iri] for iri, at in found.items()}
        return ClaimSequence(self._shelf, self._numbers, {**self._instead, **numbers})

    def changed(self, added: Sequence[Claim], removed: Iterable[str]) -> "ClaimSequence":
        """Return the same with some claims put in and others taken out, for those in IRI order.

        Takes time in proportion to the change, but for a few copies of the numbers of all.

        Parameters
        ----------
        added
            Claims; one that bears the IRI of another stands in its place.
        removed
            IRIs; one that is not here does no harm.
        """
        known = self._shelf.numbers
        new = [claim for claim in added if str(claim.iri) not in known]
        shelf = self._shelf.with_more(new)
        instead, numbers = dict(self._instead), self._numbers
        for iri in map(str, removed):
            place, here = _place(shelf, numbers, iri)
            if here:
                instead.pop(int(numbers[place]), None)
                numbers = np.delete(numbers, place)
        for claim in added:
            number = shelf.numbers[str(claim.iri)]
            place, here = _place(shelf, numbers, str(claim.iri))
            if not here:
                numbers = np.insert(numbers, place, number)
            instead[number] = claim
        return ClaimSequence(shelf, numbers, instead)

    def complete(self) -> None:
        """Make all claims, and have them by IRI: then nothing here asks polars any more.

        Its threads do not survive a fork, and a process forked would wait for them for ever.
        """
        for _ in self.completing():
            pass

    def completing(self) -> Iterator[None]:
        """Do the same, so many claims at each step, for who has else to do."""
        _ = self._shelf.numbers
        yield
        yield from self._shelf.completing()

    def _bearing(self, iris: Iterable[str]) -> Flags:
        shelf = self._shelf
        if "numbers" in vars(shelf):
            known = [shelf.numbers.get(str(iri), len(shelf.iris)) for iri in iris]
            flags = np.zeros(len(shelf.iris), dtype=np.bool_)
            flags[[number for number in known if number < len(flags)]] = True
            return flags
        flags = shelf.iris.is_in(sorted(map(str, iris))).to_numpy()
        return flags

    def resting_on(self, source: str) -> "ClaimSequence":
        """Return those that rest on a source, by its IRI; makes no others."""
        rows = [each.sources == source for each in self._shelf.sheets]
        return self._such(rows, lambda claim: str(claim.passage.source) == source)

    def resting_on_named(self, name: str) -> "ClaimSequence":
        """Return those that rest on a source whose IRI ends with an id; makes no others."""
        end = f"/{name}"
        rows = [each.sources.str.ends_with(end) for each in self._shelf.sheets]
        return self._such(rows, lambda claim: str(claim.passage.source).endswith(end))

    def with_region(self) -> "ClaimSequence":
        """Return those that rest on a region of an image or a stretch of a recording."""
        rows = [each.cells("region") != "" for each in self._shelf.sheets]
        return self._such(rows, lambda claim: claim.passage.region != "")

    def latest(self, most: int) -> list[Claim]:
        """Return those that were recorded last, the last first; those of no day are left out."""
        shelf = self._shelf
        rows = [each.cells("recorded_on") for each in shelf.sheets]
        days = dict(enumerate(shelf.texts(rows, [c.recorded_on for c in shelf.given])))
        days.update((number, claim.recorded_on) for number, claim in self._instead.items())
        numbers = self._numbers.tolist()
        dated = zip((days[n] for n in numbers), self.iris().to_list(), numbers, strict=True)
        return [self._claim(n) for _, _, n in nlargest(most, (each for each in dated if each[0]))]

    def of_tables(self, *names: str) -> "ClaimSequence":
        """Return those that are rows of some tables, and those that are no rows."""
        shelf, wanted = self._shelf, {"", *names}
        rows = [np.full(len(s.ids), s.table in wanted, np.bool_) for s in shelf.sheets]
        return self._such(rows, lambda claim: claim.origin.table in wanted)

    def iris(self) -> pl.Series:
        """Return their IRIs, in order."""
        return self._shelf.iris.gather(self._numbers)

    def sheets(self) -> tuple[ClaimRows, ...]:
        """Return the sheets of the record they are of, whichever of its claims these are."""
        return self._shelf.sheets

    def places(self, iris: Iterable[str]) -> dict[str, int]:
        """Return the place in the sequence of those that bear one of some IRIs."""
        found = np.flatnonzero(self._bearing(iris)[self._numbers])
        names = self._shelf.iris.gather(self._numbers[found])
        return dict(zip(names.to_list(), found.tolist(), strict=True))

    def _such(
        self, rows: Sequence[pl.Series | Flags], such: Callable[[Claim], bool]
    ) -> "ClaimSequence":
        """Return those of which something holds: as told of each sheet's rows, and of all else."""
        flags = self._shelf.flags(rows, [such(claim) for claim in self._shelf.given])
        for number, claim in self._instead.items():
            flags[number] = such(claim)
        return self._kept(flags)

    def _kept(self, flags: Flags) -> "ClaimSequence":
        return ClaimSequence(self._shelf, self._numbers[flags[self._numbers]], self._instead)

    def parts(self) -> tuple[list[SheetPart], list[int]]:
        """Return the claims that are rows, sheet by sheet, and the places of those that are not.

        A claim that stands in place of another is no row.
        """
        shelf = self._shelf
        sheet = shelf.sheet[self._numbers].copy()
        sheet[np.isin(self._numbers, list(self._instead))] = len(shelf.sheets)
        order = np.argsort(sheet, kind="stable")  # once, for keepers have very many sheets
        ends = np.searchsorted(sheet[order], np.arange(len(shelf.sheets) + 1))
        found = []
        for number, each in enumerate(shelf.sheets):
            places = order[ends[number] : ends[number + 1]]
            if places.size:
                found.append(SheetPart(each.rows, shelf.at[self._numbers[places]], places))
        return found, order[ends[-1] :].tolist()


def _place(shelf: _Shelf, numbers: Ints, iri: str) -> tuple[int, bool]:
    """Return where among claims in IRI order one stands, or would stand, and whether it does."""
    place = bisect_left(numbers, iri, key=lambda number: str(shelf.iris[int(number)]))
    return place, place < len(numbers) and shelf.iris[int(numbers[place])] == iri


def _placed(sheets: Sequence[ClaimRows], given: Sequence[Claim]) -> pl.DataFrame:
    others = pl.Series("iri", [str(claim.iri) for claim in given], dtype=pl.String)
    return pl.concat(
        iris.to_frame().with_row_index("at").with_columns(sheet=pl.lit(sheet))
        for sheet, iris in enumerate([*(each.iris for each in sheets), others])
    )
