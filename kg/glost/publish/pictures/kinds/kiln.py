"""A kiln's zones to scale, as each source gives them."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from rdflib import URIRef

from glost.answer.showing import find_thing
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.publish.pictures.canvas import Canvas
from glost.publish.pictures.frame import Draw, SheetFrame
from glost.publish.pictures.lettering import fit, width
from glost.publish.pictures.lives import basis
from glost.publish.pictures.model import NOTHING, Basis, together
from glost.publish.pictures.picture import Drawing, PictureWords
from glost.publish.pictures.style import (
    BLUSH,
    COBALT,
    INK,
    LABEL,
    LONG,
    MARGIN,
    PALE,
    PAPER,
    QUIET,
    RUST,
    SMALL,
    TINY,
)
from glost.publish.pictures.subjects import Subject, must_be
from glost.record.claims import Claim
from glost.record.errors import RecordError, RecordErrors
from glost.record.quantities import convert
from glost.trade.kilns.assumptions import usual
from glost.trade.kilns.figures import Figures
from glost.trade.kilns.reckoned import Input
from glost.trade.kilns.tunnel import Tunnel
from glost.trade.kilns.zoning import Zone as Stretch
from glost.trade.kilns.zoning import zonings
from glost.words.labels import label
from glost.words.pictures import BASIS, basis_cells, cited, rests_on


@dataclass(frozen=True, slots=True)
class DrawnZone:
    """A zone of a kiln.

    Attributes
    ----------
    name
        Its kind: preheating, firing.
    metres
        Its length.
    written
        Its length as written.
    remark
        What else is said of it, such as its temperature.
    """

    name: str
    metres: float
    written: str
    remark: str = ""
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class Strip:
    """A kiln as one source gives it: zones in order, then what no zone accounts for.

    Attributes
    ----------
    source
        The source, in words.
    metres, written
        The overall length, and as written; None and empty if the source gives none.
    zones
        The zones in order.
    """

    source: str
    metres: float | None
    written: str
    zones: tuple[DrawnZone, ...]
    basis: Basis = NOTHING


@dataclass(frozen=True, slots=True)
class ZonePlan:
    """A kiln's zones to scale, a strip for each source; one scale for all."""

    title: str
    strips: tuple[Strip, ...]
    note: str = ""


_HISTORY = "Reckoned for history, not for running a kiln."


def plan(snapshot: Snapshot, kiln: URIRef) -> ZonePlan:
    """Make a kiln's zones, source by source, each with the overall length it gives.

    Raises
    ------
    RecordErrors
        If the thing is no kiln, or no source gives a length of it that can be reckoned with.
    """
    must_be(snapshot, kiln, GLOST.Kiln)
    figures = Figures(snapshot.belief, usual())
    tunnel = Tunnel(figures, kiln)
    zones = zonings(figures, tunnel)
    overall = figures.all(kiln, GLOST.overallLength)
    sources = {*zones, *(c.passage.source for figure in overall for c in figure.claims)}
    strips = []
    for source in sorted(sources):
        own = [f for f in overall if any(c.passage.source == source for c in f.claims)]
        claims = [c for f in own for c in f.claims if c.passage.source == source]
        length = figures.join("overall length", tunnel.unit, own) if own else None
        strips.append(
            _measured(snapshot, source, length, claims, zones.get(source, ()), tunnel.unit)
        )
    if not strips:
        where, name = str(snapshot.record.collection.path), label(kiln, snapshot.words)
        message = f"no source gives lengths of {name} that can be drawn"
        remedy = "give its length in tables/kilns.csv or its zones in tables/kiln_zones.csv"
        raise RecordErrors([RecordError(where, message, remedy)])
    strips.sort(key=lambda strip: (-len(strip.zones), strip.source))
    return ZonePlan(f"Zones of {label(kiln, snapshot.words)}, to scale", tuple(strips), _HISTORY)


def _measured(
    snapshot: Snapshot,
    source: URIRef,
    length: Input | None,
    claims: Sequence[Claim],
    zones: Sequence[Stretch],
    unit: str,
) -> Strip:
    drawn = tuple(
        DrawnZone(
            label(zone.kind, snapshot.words) if zone.kind else "zone",
            _metres(zone.length, unit),
            " or ".join(zone.length.given),
            _remark(zone),
            basis(zone.length.claims, snapshot.words),
        )
        for zone in zones
    )
    return Strip(
        label(source, snapshot.words),
        _metres(length, unit) if length else None,
        " or ".join(length.given) if length else "",
        drawn,
        basis(claims, snapshot.words),
    )


def _metres(length: Input, unit: str) -> float:
    """Return a length for drawing; where it spans a range, its middle."""
    return float(convert((length.low + length.high) / 2, unit, "meter"))


def _remark(zone: Stretch) -> str:
    said = list(zone.temperature.given) if zone.temperature else []
    said += [f"cone {cone}" for cone, _ in zone.cones]
    return ", ".join(said)


def plan_in_words(plan: ZonePlan) -> PictureWords:
    """Tell a kiln's zones: a row for each overall length, each zone, and what is left."""
    columns = ("source", "what", "as written", "metres", "remark")
    rows = []
    for strip in plan.strips:
        total = sum(zone.metres for zone in strip.zones)
        if strip.metres is not None:
            cells = (strip.source, "overall", strip.written, f"{strip.metres:.3f}", "")
            rows.append((*cells, *basis_cells(strip.basis)))
        for zone in strip.zones:
            cells = (strip.source, zone.name, zone.written, f"{zone.metres:.3f}", zone.remark)
            rows.append((*cells, *basis_cells(zone.basis)))
        if strip.metres is not None and strip.zones:
            left = strip.metres - total
            what = "unexplained" if left >= 0 else "more than the overall length"
            cells = (strip.source, what, _written(abs(left)), f"{abs(left):.3f}", "reckoned")
            rows.append((*cells, "", ""))
    sources = len(plan.strips)
    given = "one source gives them" if sources == 1 else f"{sources} sources give them"
    summary = f"A kiln's zones to scale, as {given}: "
    summary += "; ".join(f"{row[1]} {row[2] or row[3] + ' m'}" for row in rows)
    return PictureWords(summary + ".", (*columns, *BASIS), tuple(rows))


_STRIP, _HIGH = 96.0, 26.0
_HATCHES = {"preheating": "///", "firing": "xxx", "cooling": "..."}
_FEET = 0.3048


def kiln_plan(plan: ZonePlan) -> Drawing:
    """Draw a kiln's zones, all sources to one scale, on a sheet on its side.

    Parameters
    ----------
    plan
        The kiln as each source gives it.
    """
    basis = together(
        [strip.basis for strip in plan.strips]
        + [zone.basis for strip in plan.strips for zone in strip.zones]
    )
    return Drawing(plan.title, plan_in_words(plan), (partial(_sheet, plan, basis),))


def _sheet(plan: ZonePlan, basis: Basis) -> Canvas:
    frame = SheetFrame(plan.title, plan.note, rests_on(basis), _legend(plan))
    head = frame.head(LONG)
    heights = [_STRIP if strip.zones else _STRIP * 0.76 for strip in plan.strips]
    canvas = Canvas(LONG, head + sum(heights) + 30 + frame.foot(LONG))
    longest = max((_length(strip) for strip in plan.strips), default=1.0)
    scale = (LONG - 2 * MARGIN - 8) / longest
    for place, strip in enumerate(plan.strips):
        _strip(canvas, strip, head + sum(heights[:place]), scale)
    _ruler(canvas, head + sum(heights) + 12, scale, longest)
    frame.draw(canvas)
    return canvas


def _length(strip: Strip) -> float:
    return max(strip.metres or 0.0, sum(zone.metres for zone in strip.zones)) or 1.0


def _legend(plan: ZonePlan) -> list[tuple[str, Draw]]:
    found: list[tuple[str, Draw]] = [
        ("preheating", partial(_swatch, "preheating")),
        ("firing", partial(_swatch, "firing")),
        ("cooling", partial(_swatch, "cooling")),
    ]
    names = {zone.name for strip in plan.strips for zone in strip.zones}
    if any(not any(kind in name for kind in _HATCHES) for name in names):
        found.append(("another zone", partial(_swatch, "")))
    if any((strip.metres or 0) > sum(z.metres for z in strip.zones) for strip in plan.strips):
        found.append(("unexplained: no zone is given", _nothing))
    if any(strip.metres and _length(strip) > strip.metres for strip in plan.strips):
        found.append(("where the overall length ends", _end))
    return found


def _end(canvas: Canvas, x: float, y: float) -> None:
    canvas.line([(x + 12, y - 6), (x + 12, y + 6)], ink=RUST, weight=1.4)


def _swatch(kind: str, canvas: Canvas, x: float, y: float) -> None:
    _box(canvas, kind, x, y - 4.5, 22, 9)


def _nothing(canvas: Canvas, x: float, y: float) -> None:
    canvas.box(x, y - 4.5, 22, 9, ink=INK, weight=0.8, dashes=(2.4, 1.6))


def _box(canvas: Canvas, name: str, x: float, y: float, wide: float, high: float) -> None:
    hatch = next((hatch for kind, hatch in _HATCHES.items() if kind in name), "")
    fill, ink = (BLUSH, RUST) if "firing" in name else (PALE, COBALT)
    if not hatch:
        fill, ink = PAPER, INK
    canvas.box(x, y, wide, high, fill=fill, ink=ink, hatch=hatch, weight=0.8)


def _strip(canvas: Canvas, strip: Strip, top: float, scale: float) -> None:
    canvas.text(MARGIN, top + 8, fit(strip.source, SMALL, LONG * 0.7), SMALL, bold=True)
    left, y = MARGIN, top + 32
    x = left
    ends = []
    for zone in strip.zones:
        wide = zone.metres * scale
        _box(canvas, zone.name, x, y, wide, _HIGH)
        ends.append((x, x + wide, zone))
        x += wide
    if strip.metres is not None:
        end = left + strip.metres * scale
        if end > x + 0.5:
            canvas.box(x, y, end - x, _HIGH, ink=INK, weight=0.8, dashes=(2.4, 1.6))
            if strip.zones:  # of a kiln no zone of which is given, nothing is left over
                left_over = DrawnZone("unexplained", 0.0, _written((end - x) / scale))
                ends.append((x, end, left_over))
        _dimension(canvas, left, end, y - 9, f"{strip.written} overall")
        if end < x - 0.5:
            canvas.line([(end, y - 12), (end, y + _HIGH + 6)], ink=RUST, weight=1.4)
    _names(canvas, ends, y)


def _written(metres: float) -> str:
    """Write a length that was worked out: to half a foot, and to a tenth of a metre."""
    return f"{round(metres / _FEET * 2) / 2:g} ft ({metres:.1f} m)"


def _dimension(canvas: Canvas, left: float, right: float, y: float, text: str) -> None:
    canvas.line([(left, y), (right, y)], ink=INK, weight=0.6)
    for x, way in ((left, 1), (right, -1)):
        canvas.shape([(x, y), (x + way * 5, y - 1.8), (x + way * 5, y + 1.8)], fill=INK)
        canvas.line([(x, y - 4), (x, y + 4)], ink=INK, weight=0.6)
    middle = (left + right) / 2
    half = width(text, SMALL) / 2 + 4
    canvas.box(middle - half, y - 5, 2 * half, 10, fill=PAPER)
    canvas.text(middle, y, text, SMALL, align="center")


def _names(canvas: Canvas, ends: list[tuple[float, float, DrawnZone]], y: float) -> None:
    """Name each zone in its box where it fits, else below, clear of its neighbours."""
    free = MARGIN
    for left, right, zone in ends:
        with canvas.part(told=f"{zone.name}, {zone.written}. {cited(zone.basis)}".strip()):
            free = _name(canvas, zone, left, right, y, free)


def _name(
    canvas: Canvas, zone: DrawnZone, left: float, right: float, y: float, free: float
) -> float:
    """Name a zone; return up to where its name takes the line under the boxes."""
    middle = (left + right) / 2
    says = zone.written + (f", {zone.remark}" if zone.remark else "")
    if max(width(zone.name, LABEL), width(says, TINY)) + 8 < right - left:
        half = width(zone.name, LABEL) / 2 + 4
        canvas.box(middle - half, y + _HIGH / 2 - 6.5, 2 * half, 13, fill=PAPER)
        canvas.text(middle, y + _HIGH / 2, zone.name, LABEL, align="center")
        canvas.text(middle, y + _HIGH + 8, says, TINY, ink=QUIET, align="center")
        return max(free, middle + width(says, TINY) / 2 + 6)
    text = f"{zone.name}, {says}"
    x = min(max(left, MARGIN), canvas.wide - MARGIN - width(text, TINY))
    level = y + _HIGH + (8 if x >= free else 20)
    canvas.line([(middle, y + _HIGH), (middle, level - 5)], ink=QUIET, weight=0.5)
    canvas.text(x, level, text, TINY, ink=INK)
    return x + width(text, TINY) + 6 if level == y + _HIGH + 8 else free


def _ruler(canvas: Canvas, y: float, scale: float, longest: float) -> None:
    """Draw a scale in feet above and in metres below."""
    for unit, metres, up in (("ft", _FEET, -1), ("m", 1.0, 1)):
        step = next(s for s in (1, 2, 5, 10, 20, 50, 100, 500) if s * metres * scale >= 30)
        count = int(longest * 0.6 / (step * metres))
        end = MARGIN + count * step * metres * scale
        canvas.line([(MARGIN, y + up), (end, y + up)], ink=INK, weight=0.7)
        for place in range(count + 1):
            x = MARGIN + place * step * metres * scale
            canvas.line([(x, y + up), (x, y + up * 5)], ink=INK, weight=0.7)
            last = place == count
            text = f"{place * step}{' ' + unit if last else ''}"
            canvas.text(x, y + up * 11, text, TINY, align="left" if last or not place else "center")


def _drawn(snapshot: Snapshot, of: str) -> Drawing:
    return kiln_plan(plan(snapshot, find_thing(snapshot.record, of, "kiln")))


SUBJECT = Subject(
    "a kiln", _drawn, needed=True, things=lambda facts: facts.objects(None, GLOST.zoneOf)
)
