"""The zones of a kiln, source by source: shares, time in each, heating and cooling."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from rdflib import URIRef

from glost.names import GLOST, SCHEMES
from glost.record.claims import Claim, in_order
from glost.trade.kilns.cones import Chart
from glost.trade.kilns.figures import Figures, wider
from glost.trade.kilns.reckoned import Input, Reckoned, ranged, reckon
from glost.trade.kilns.tunnel import Tunnel

_KINDS = {
    name: URIRef(f"{SCHEMES}zone-kind/{name}") for name in ("preheating", "firing", "cooling")
}


@dataclass(frozen=True, slots=True)
class Zone:
    """A zone as one source gives it.

    Attributes
    ----------
    zone, kind
        The zone, and the concept that says what it is for.
    source
        The source whose length this is.
    length
        Its length as the source gives it.
    temperature
        Its highest temperature in degrees C; None if none is given.
    cones
        Cones set in it, as written, with the claims.
    """

    zone: URIRef
    kind: URIRef | None
    source: URIRef
    length: Input
    temperature: Input | None
    cones: tuple[tuple[str, tuple[Claim, ...]], ...]

    def of(self, kind: str) -> bool:
        """Say whether it is a zone of a kind, or of one narrower."""
        return self.kind is not None and _KINDS[kind] in wider(self.kind)


def zonings(
    figures: Figures, tunnel: Tunnel, chart: Chart | None = None
) -> dict[URIRef, tuple[Zone, ...]]:
    """Return the zones of a kiln by the source that gives their lengths, in order.

    Parameters
    ----------
    figures, tunnel
        What is said of the kiln.
    chart
        By which to turn cones into temperatures where no temperature is given; None to keep
        them as cones.
    """
    found: dict[URIRef, list[Zone]] = {}
    for zone in figures.zones(tunnel.kiln):
        kinds = figures.belief.graph.objects(zone, GLOST.zoneKind)
        kind = min((k for k in kinds if isinstance(k, URIRef)), default=None)
        cones = tuple((str(cone), claims) for cone, claims in figures.belief.said(zone, GLOST.cone))
        temperature = figures.input(zone, GLOST.peakTemperature, "degC")
        if temperature is None and chart is not None and cones:
            temperature = by_cones(chart, cones)
        for source, length in _lengths(figures, zone, tunnel.unit):
            found.setdefault(source, []).append(
                Zone(zone, kind, source, length, temperature, cones)
            )
    return {source: tuple(zones) for source, zones in sorted(found.items())}


def by_cones(chart: Chart, cones: tuple[tuple[str, tuple[Claim, ...]], ...]) -> Input:
    """Turn a zone's cones into one temperature that spans them."""
    each = [chart.temperature(cone, claims) for cone, claims in cones]
    return Input(
        each[0].name,
        min(one.low for one in each),
        max(one.high for one in each),
        each[0].unit,
        tuple(given for one in each for given in one.given),
        in_order(claim for one in each for claim in one.claims),
        chart.words(),
    )


def _lengths(figures: Figures, zone: URIRef, unit: str) -> Iterator[tuple[URIRef, Input]]:
    lengths = figures.all(zone, GLOST.zoneLength)
    for source in sorted({c.passage.source for figure in lengths for c in figure.claims}):
        own = [f for f in lengths if any(c.passage.source == source for c in f.claims)]
        joined = figures.join("length of the zone", unit, own)
        claims = in_order(c for c in joined.claims if c.passage.source == source)
        yield source, Input("length of the zone", joined.low, joined.high, unit, joined.given,
                            claims, joined.assumed)  # fmt: skip


def of_zone(zone: Zone, tunnel: Tunnel) -> Iterator[Reckoned]:
    """Reckon a zone's share of the overall length, and the time ware spent in it."""
    overall = overall_for(zone.source, tunnel)
    if overall is not None and overall.low > 0:
        yield reckon(
            "share of the overall length", "per cent", "length of the zone / overall length",
            lambda z, o: z * 100 / o, zone.length, overall,
        )  # fmt: skip
    hours = tunnel.hours("time in the zone", zone.length)
    if hours is not None:
        yield hours


def overall_for(source: URIRef, tunnel: Tunnel) -> Input | None:
    """Return the overall length a source gives; if it gives none, that of all others."""
    figures = tunnel.figures.all(tunnel.kiln, GLOST.overallLength)
    own = [f for f in figures if any(c.passage.source == source for c in f.claims)]
    return tunnel.figures.join("overall length", tunnel.unit, own) if own else tunnel.length


def rates(zones: tuple[Zone, ...], tunnel: Tunnel) -> Iterator[tuple[tuple[Zone, ...], Reckoned]]:
    """Reckon average rates of heating and cooling over the zones of one source.

    The ware is taken to enter and to leave at the temperatures assumed, and to have the highest
    temperature of a preheating zone at its end and that of a cooling zone at its start. Where such
    a zone has none, that of the firing zone bounds it: the ware may come to it only within the
    firing zone, and begin to cool there, so that it entered and left that zone cooler. The rate
    is then an upper figure; that from the entrance to the end of the firing zone, by which the
    highest temperature was reached, is a lower one.
    """
    hottest = [zone.temperature for zone in zones if zone.of("firing") and zone.temperature]
    if len(hottest) != 1:
        return
    assumed = tunnel.figures.assumed
    remark = _left_out(zones, tunnel)
    entry, leaving = assumed["entry-temperature"].input(), assumed["exit-temperature"].input()
    for stretch, start, end in (
        *_heating(zones, entry, hottest[0]),
        *_cooling(zones, hottest[0], leaving),
    ):
        name = "heating" if stretch[0].of("preheating") else "cooling"
        bound = hottest[0] in (start, end)
        rate = tunnel.rate(
            f"average rate of {name}", _joined(stretch), start, end,
            (_UPPER[name] if bound else "") + remark, "no faster than" if bound else "",
        )  # fmt: skip
        if rate is not None:
            yield stretch, rate
    whole = _to_the_peak(zones)
    if whole:
        name = "average rate of heating up to the highest temperature"
        rate = tunnel.rate(
            name, _joined(whole), entry, hottest[0], _LOWER + remark, "no slower than"
        )
        if rate is not None:
            yield whole, rate


_UPPER = {
    "heating": "; an upper figure, for the highest temperature may be reached only within the "
    "firing zone, so that the ware left the preheating cooler",
    "cooling": "; an upper figure, for the ware may begin to cool within the firing zone, so that "
    "it entered the cooling cooler",
}
_LOWER = (
    "; a lower figure, for the highest temperature is reached by the end of the firing zone at the "
    "latest, perhaps before"
)


def _to_the_peak(zones: tuple[Zone, ...]) -> tuple[Zone, ...]:
    """Return the zones from the first of preheating to the last of firing, if both are given."""
    heated = [at for at, zone in enumerate(zones) if zone.of("preheating")]
    fired = [at for at, zone in enumerate(zones) if zone.of("firing")]
    return zones[heated[0] : fired[-1] + 1] if heated and fired else ()


def _left_out(zones: tuple[Zone, ...], tunnel: Tunnel) -> str:
    """Say how much of the kiln no zone accounts for, which rates leave out."""
    overall = overall_for(zones[0].source, tunnel)
    left = overall.high - sum(zone.length.low for zone in zones) if overall else Fraction(0)
    if left <= 0:
        return ""
    return f"; {ranged(left, left, tunnel.unit)} that no zone accounts for are left out"


Stretch = tuple[tuple[Zone, ...], Input, Input]


def _heating(zones: tuple[Zone, ...], start: Input, hottest: Input) -> Iterator[Stretch]:
    run: list[Zone] = []
    for zone in zones:
        if zone.of("preheating"):
            run.append(zone)
            if zone.temperature:
                yield tuple(run), start, zone.temperature
                run, start = [], zone.temperature
    if run:
        yield tuple(run), start, hottest


def _cooling(zones: tuple[Zone, ...], start: Input, end: Input) -> Iterator[Stretch]:
    run: list[Zone] = []
    for zone in zones:
        if zone.of("cooling"):
            if zone.temperature and run:
                yield tuple(run), start, zone.temperature
                run = []
            start = zone.temperature or start if not run else start
            run.append(zone)
    if run:
        yield tuple(run), start, end


def _joined(stretch: tuple[Zone, ...]) -> Input:
    """Add the lengths of zones that follow one another."""
    lengths = [zone.length for zone in stretch]
    if len(lengths) == 1:
        return lengths[0]
    return Input(
        "length of the zones",
        sum((each.low for each in lengths), Fraction(0)),
        sum((each.high for each in lengths), Fraction(0)),
        lengths[0].unit,
        (" and ".join(" or ".join(each.given) for each in lengths),),
        in_order(claim for each in lengths for claim in each.claims),
        "; ".join(dict.fromkeys(each.assumed for each in lengths if each.assumed)),
    )
