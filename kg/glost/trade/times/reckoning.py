"""Reckoning a chronology: what claims say of time, joined by the rules and solved."""

from collections.abc import Iterable, Mapping
from fractions import Fraction

from glost.reason.chronology.spread import chosen
from glost.record.belief import Belief
from glost.record.dates import DEFAULT_MARGIN, Margin
from glost.trade.times import special
from glost.trade.times.chronology import Chronology
from glost.trade.times.gathering import Gathering
from glost.trade.times.joining import apply
from glost.trade.times.results import DEFAULT_LAG_YEARS
from glost.trade.times.rules import WHOLE, in_force
from glost.trade.times.sequences import most_days, sequences
from glost.trade.times.statements import code
from glost.trade.times.weights import Weights


def chronology(
    belief: Belief,
    *,
    margin: Margin = DEFAULT_MARGIN,
    trust: Mapping[str, float] | None = None,
    lag_years: int = DEFAULT_LAG_YEARS,
    readings: Iterable[special.Reading] = (),
    off: Iterable[str] = (),
    also: Iterable[str] = (),
) -> Chronology:
    """Reckon the chronology of what is believed.

    Parameters
    ----------
    belief
        What is believed.
    margin
        How far a date marked approximate is widened.
    trust
        Weight of a source by its id; 1 for a source that is not named.
    lag_years
        Years by which a list may lag behind, or run ahead of, what is in production.
    readings
        Dates read from codes on pieces.
    off
        Names of rules to do without.
    also
        Names of rules to use that hold only where asked for.

    Returns
    -------
    Chronology
        The same on every run.

    Raises
    ------
    glost.record.errors.RecordErrors
        For every name in `off` or `also` that is not a rule's.
    """
    rules = in_force(off, also)
    statements = code(belief)
    lag = most_days(Fraction(lag_years))
    gathering = Gathering(statements, rules)
    done = {
        "dates": lambda: special.dates(gathering, margin),
        "readings": lambda: special.readings(gathering, readings),
        "sequences": lambda: sequences(gathering, margin),
        "shown": lambda: special.shown(gathering, lag),
        "missing": lambda: special.missing(gathering, margin, lag),
        "weights": lambda: None,
        "": lambda: None,
    }
    for rule in rules.values():
        done[rule.how]()
    ordered = sorted(
        rules.values(), key=lambda rule: bool(rule.where) and rule.where[0][1] in WHOLE
    )
    for rule in ordered:
        if rule.where:
            apply(gathering, rule, lag)
    network, rule_of = gathering.network()
    weights = Weights(statements, trust or {}, one_witness="one-witness" in rules)
    solution = chosen()(network, weights)
    return Chronology(
        belief, rules, margin, lag, statements, gathering.events, rule_of, solution, weights
    )
