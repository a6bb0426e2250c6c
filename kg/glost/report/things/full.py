"""The parts of sheets and pages, some of which take the whole collection to make."""

from glost.report.things import assortment, calculated, crossed, inferred, related
from glost.report.things.making import OWN, SHORT_WITH_NAMED, Maker

SHEET: tuple[Maker, ...] = (
    *OWN[:4],
    lambda b, s, t, _: assortment.offered(b, s, t),
    lambda b, s, t, _: crossed.crossed(b, s, t),
    calculated.calculated,
    *OWN[4:],
    lambda b, s, t, _: related.related(b, s, t, without=("piece", "article", "assortment")),
)
"""The parts of a fact sheet; pieces stand among its exhibits, articles in its assortments."""
PAGE: tuple[Maker, ...] = (
    *SHEET[:7],
    lambda b, s, t, _: inferred.inferred(b, s, t, of_others=False),
    *SHEET[8:-1],
    *SHORT_WITH_NAMED[len(OWN) :],
)
"""The parts of a page; what follows of other things stands on theirs."""
