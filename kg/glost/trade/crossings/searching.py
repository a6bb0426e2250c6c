"""Finding every crossing, column by column, and what may explain each."""

from collections.abc import Iterable, Iterator

import polars as pl
from rdflib import URIRef

from glost.record.belief import Belief
from glost.record.claims import Claim
from glost.trade.assortments.forms import Forms
from glost.trade.crossings.explaining import Explainer
from glost.trade.crossings.facts import Facts, claims_at, gather
from glost.trade.crossings.model import Crossing, CrossingCell, CrossingMatrix, Sighting
from glost.trade.crossings.timing import Clock
from glost.trade.times import Chronology

Group = list[tuple[str, str | None, list[list[int]]]]


def crossings(belief: Belief, times: Chronology, of: str | None = None) -> tuple[Crossing, ...]:
    """Find the treatments seen on another shape than their home.

    A treatment's home is what claims say, or else what its number says; where it was seen is what
    pieces show and what sources show or list. Where sources give several homes, it crossed from
    each of them to shapes that none of them names.

    Parameters
    ----------
    belief
        What is believed.
    times
        The chronology of the same.
    of
        IRI of a treatment or shape, to find only the crossings it takes part in; None for all.

    Returns
    -------
    tuple of Crossing
        Sorted by home, other shape and treatment; each with what shows it, and with every
        explanation found, how strong it is and why.
    """
    return tuple(_crossings(gather(belief, times.margin), Forms(belief), times, of))


def matrix(found: Iterable[Crossing], times: Chronology) -> CrossingMatrix:
    """Arrange crossings by home and other shape.

    Parameters
    ----------
    found
        The crossings.
    times
        The chronology; the order of the shapes is that of their first possible day.
    """
    cells: dict[tuple[URIRef, URIRef], list[Crossing]] = {}
    for crossing in found:
        cells.setdefault((crossing.home, crossing.seen_on), []).append(crossing)
    shapes = {shape for pair in cells for shape in pair}
    begins = {s: times.bounds(URIRef(f"{s}#begin")).earliest for s in shapes}
    order = sorted(shapes, key=lambda s: (begins[s] is None, begins[s] or 0, s))
    return CrossingMatrix(
        tuple(order),
        tuple(
            CrossingCell(*pair, tuple(sorted(cells[pair], key=lambda c: c.treatment)))
            for pair in sorted(cells, key=lambda p: (order.index(p[0]), order.index(p[1])))
        ),
    )


def _crossings(facts: Facts, forms: Forms, times: Chronology, of: str | None) -> Iterator[Crossing]:
    homes = facts.columns["homeShape"].rename({"subject": "treatment", "object": "home"})
    seen = pl.concat([_on_pieces(facts), _in_sources(facts)])
    at_home = homes.select("treatment", pl.col("home").alias("seen_on")).unique()
    away = seen.join(at_home, on=["treatment", "seen_on"], how="anti")
    rows = away.join(homes.select("treatment", "home").unique(), on="treatment")
    if of is not None:
        rows = rows.filter(pl.any_horizontal(pl.col("treatment", "home", "seen_on") == of))
    rows = rows.group_by("home", "seen_on", "treatment", "where", "form").agg("claim")
    rows = rows.sort("home", "seen_on", "treatment", "where", "form", nulls_last=True)
    explainer = Explainer(facts, forms, Clock(facts, times))
    for (home, shape, treatment), group in _runs(rows):
        sightings = tuple(
            Sighting(
                URIRef(where),
                None if form is None else URIRef(form),
                *explainer.explain(treatment, home, shape, where, form),
                claims_at(facts, (at for places in claims for at in places)),
            )
            for where, form, claims in group
        )
        yield Crossing(
            URIRef(treatment), URIRef(home), URIRef(shape),
            tuple(facts.values("treatmentNumber", treatment)),
            tuple(map(URIRef, facts.values("usesDecal", treatment))),
            treatment in facts.by_number,
            tuple(sorted(sightings, key=lambda s: ("/source/" in s.where, s.where, str(s.form)))),
            tuple(facts.stating("homeShape", treatment, home)),
        )  # fmt: skip


def _runs(rows: pl.DataFrame) -> Iterator[tuple[tuple[str, str, str], Group]]:
    """Yield the sightings of one crossing after another; rows are sorted by crossing."""
    at: tuple[str, str, str] | None = None
    group: Group = []
    for home, shape, treatment, where, form, claims in rows.iter_rows():
        if at != (home, shape, treatment):
            if at is not None:
                yield at, group
            at, group = (home, shape, treatment), []
        group.append((where, form, claims))
    if at is not None:
        yield at, group


def _on_pieces(facts: Facts) -> pl.DataFrame:
    """Return what pieces show, with the claims for treatment, shape and form."""
    bears, shape, form = (facts.columns[n] for n in ("bearsTreatment", "ofShape", "form"))
    return _listed(bears, "treatment").join(_listed(shape, "seen_on"), on="subject").join(
        _listed(form, "form"), on="subject", how="left"
    ).select(
        "treatment", "seen_on", pl.col("subject").alias("where"), "form",
        pl.concat_list("claim treatment", "claim seen_on", pl.col("claim form").fill_null([]))
        .alias("claim"),
    )  # fmt: skip


def _listed(column: pl.DataFrame, name: str) -> pl.DataFrame:
    return column.group_by("subject", pl.col("object").alias(name)).agg(
        pl.col("claim").alias(f"claim {name}")
    )


def _in_sources(facts: Facts) -> pl.DataFrame:
    rows = [
        (treatment, shape, str(facts.claims[at].passage.source), None, [at])
        for treatment, shape, at in facts.columns["appearsOn"].rows()
    ]
    names = ("treatment", "seen_on", "where", "form")
    schema = pl.Schema({**{name: pl.String() for name in names}, "claim": pl.List(pl.Int64())})
    return pl.DataFrame(rows, schema=schema, orient="row")


def support(crossing: Crossing) -> tuple[Claim, ...]:
    """Return every claim under a crossing: home, sightings and explanations, each once."""
    found = dict.fromkeys(crossing.claims)
    for sighting in crossing.sightings:
        found.update(dict.fromkeys(sighting.claims))
        for explanation in sighting.explanations:
            found.update(dict.fromkeys(explanation.claims))
    return tuple(found)
