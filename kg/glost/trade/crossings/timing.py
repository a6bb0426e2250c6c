"""What was so when a crossing was made: had the home shape ended, did the two share flatware."""

from collections import defaultdict
from typing import NamedTuple

from rdflib import URIRef

from glost.record.claims import Claim
from glost.record.dates import calendar_day
from glost.trade.crossings.facts import Facts
from glost.trade.crossings.model import TimeOfCrossing, rows
from glost.trade.times import Chronology
from glost.verdicts import Verdict

HOME_ENDED = "when the home shape ended"
MADE = "when the piece was made and decorated"
SOLD_SO = "when the other shape was sold so"
SHARED = "when the two shared flatware"
BEGAN = "when the other shape began"


class Years(NamedTuple):
    """The years between which a point lies, both inclusive; None where nothing bounds it."""

    first: int | None = None
    last: int | None = None
    disputed: bool = False

    @property
    def known(self) -> bool:
        """Whether it is bounded on one side at least."""
        return self.first is not None or self.last is not None

    @property
    def open(self) -> bool:
        """Whether it is not known to a year."""
        return self.first is None or self.first != self.last


class Clock:
    """Says what was so at the time of a sighting, by the bounds of all that is believed.

    Parameters
    ----------
    facts
        What crossings are reckoned from.
    times
        The chronology of the same belief.
    """

    def __init__(self, facts: Facts, times: Chronology) -> None:
        self._times = times
        self._years: dict[str, Years] = {}
        kinds = {row["kind"] for row in rows("shown_in.csv")}
        said = facts.columns["sourceKind"]
        self._of_own_time = {
            source for source, kind, _ in said.rows() if kind.rsplit("/", 1)[-1] in kinds
        }
        shapes: dict[str, set[str]] = defaultdict(set)
        for name in ("sharedBy", "sharedWith"):
            for sharing, shape, _ in facts.columns[name].rows():
                shapes[sharing].add(shape)
        self._sharings: dict[frozenset[str], list[str]] = defaultdict(list)
        for sharing, pair in sorted(shapes.items()):
            self._sharings[frozenset(pair)].append(sharing)

    def timing(self, home: str, shape: str, where: str, *, shared: bool) -> TimeOfCrossing:
        """Say what was so when a treatment was put on another shape than its home.

        Parameters
        ----------
        home, shape
            Its home, and the other shape.
        where
            The piece that shows it, or the source.
        shared
            Whether the two are said to share flatware.

        Returns
        -------
        TimeOfCrossing
            By whole years. ``no`` to `late` needs that the home shape ended in no earlier year
            than the sighting; a blank is not taken to have waited unless a date says so. ``not
            known``, where nothing bears on when the home shape ended but that it had begun.
        """
        end, begin = self._at(f"{home}#end"), self._at(f"{shape}#begin")
        made, decorated = self._at(f"{where}#made"), self._at(f"{where}#decorated")
        source = self._at(where)
        listed = source if where in self._of_own_time else Years()
        on_piece = made.known or decorated.known
        seen = made if on_piece else source
        # That it ended no earlier than it began says nothing of when it ended.
        started = self._at(f"{home}#begin").first
        unsaid = end.last is None and end.first in (None, started)
        late = _late(end, (begin, made, decorated, listed), made, decorated, source)
        if unsaid and late == Verdict.POSSIBLY:
            late = Verdict.NOT_KNOWN
        witness = MADE if on_piece else SOLD_SO
        undecided = late == Verdict.POSSIBLY
        open_ = {HOME_ENDED: end.open, witness: seen.open or not (on_piece or listed.known)}
        sharing, disputed_sharing = None, False
        if shared:
            first = made.first if made.first is not None else listed.first
            sharing, disputed_sharing = self._sharing(home, shape, first, seen.last)
        disputed = {
            HOME_ENDED: end.disputed and not (unsaid and late == Verdict.NOT_KNOWN),
            BEGAN: begin.disputed,
            witness: made.disputed or decorated.disputed or source.disputed,
            SHARED: disputed_sharing,
        }
        deciding = [name for name, is_open in open_.items() if undecided and is_open]
        deciding += [SHARED] if sharing == Verdict.POSSIBLY else []
        told = tuple(name for name, so in disputed.items() if so)
        return TimeOfCrossing(late, sharing, tuple(deciding), told)

    def claims(self, home: str, shape: str, where: str) -> tuple[Claim, ...]:
        """Return the claims under the end of the home shape and what it is set against."""
        end = self._at(f"{home}#end")
        points = [p for p in (f"{shape}#begin", f"{where}#made", f"{where}#decorated", where)
                  if _before(end.last, self._at(p).first)]  # fmt: skip
        times = self._times
        arguments = [times.why_not_after(URIRef(f"{home}#end"))]
        if points:
            arguments.append(times.why_not_before(URIRef(points[0])))
        else:
            arguments.append(times.why_not_before(URIRef(f"{home}#end")))
        return tuple(dict.fromkeys(c for each in arguments if each for c in each.claims))

    def _at(self, point: str) -> Years:
        if point not in self._years:
            first, last, disputed = self._times.reading_bounds(URIRef(point))
            self._years[point] = Years(
                None if first is None else calendar_day(first)[0],
                None if last is None else calendar_day(last)[0],
                disputed,
            )
        return self._years[point]

    def _sharing(
        self, home: str, shape: str, first: int | None, last: int | None
    ) -> tuple[Verdict, bool]:
        """Say whether two shapes shared flatware between two years, and if that is in dispute."""
        dated = self._sharings.get(frozenset((home, shape)), ())
        found, disputed = [], False
        for sharing in dated:
            begin, end = self._at(f"{sharing}#begin"), self._at(f"{sharing}#end")
            disputed = disputed or begin.disputed or end.disputed
            if _before(end.last, first) or _before(last, begin.first):
                found.append(Verdict.NO)
            elif _not_after(begin.last, first) and _not_after(last, end.first):
                found.append(Verdict.YES)
            else:
                found.append(Verdict.POSSIBLY)
        if not found or (first is None and last is None):
            return Verdict.NOT_KNOWN, False
        said = Verdict.YES if Verdict.YES in found else Verdict.POSSIBLY
        return (Verdict.NO if set(found) == {Verdict.NO} else said), disputed


def _late(
    end: Years, starts: tuple[Years, ...], made: Years, decorated: Years, source: Years
) -> Verdict:
    """Say whether the home shape had ended in an earlier year than any of the others began."""
    if not end.known or not any(years.known for years in (*starts, source)):
        return Verdict.NOT_KNOWN
    if any(_before(end.last, years.first) for years in starts):
        return Verdict.YES
    last = made.last if made.last is not None else source.last
    waited = _before(end.first, decorated.first)
    return Verdict.NO if _not_after(last, end.first) and not waited else Verdict.POSSIBLY


def _before(one: int | None, other: int | None) -> bool:
    return one is not None and other is not None and one < other


def _not_after(one: int | None, other: int | None) -> bool:
    return one is not None and other is not None and one <= other
