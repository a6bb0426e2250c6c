"""Cautions that belong with a thing, in two sentences; in full among what they rest on."""

import csv
from collections import defaultdict
from collections.abc import Iterable
from functools import cache
from importlib.resources import files

from glost.report.tree import Rule, Statement
from glost.trade.cautions import Caution, cautions_for


def cautions(kinds: Iterable[str], page: str = "") -> tuple[Statement, ...]:
    """Return the cautions for things of some classes.

    Parameters
    ----------
    kinds
        The classes' local names.
    page
        The address of a page with all cautions and limits, which then need not stand here in full.
    """
    given = cautions_for(tuple(kinds))
    found = []
    for of, sentence in _brief().items():
        some = [each for each in given if each.name in of]
        full = (Rule("Cautions and limits in full", "", page),) if page else _rules(some)
        if some:
            found.append(Statement((sentence,), full))
    return tuple(found)


def _rules(cautions: Iterable[Caution]) -> tuple[Rule, ...]:
    """Return cautions in full, then what each authority sets, in the tests it prescribes."""
    rules, limits = [], defaultdict(list)
    for caution in cautions:
        source = f"{caution.source} ({caution.standing})" if caution.source else "common practice"
        rules.append(Rule(f"{caution.heading}: {caution.text.rstrip('.')}", source))
        for limit in caution.limits:
            year = f", {limit.year}" if limit.year else ""
            limits[f"{limit.authority}{year} ({limit.standing})"].append(str(limit))
    rules += (Rule(f"Limits set: {'; '.join(some)}", by) for by, some in limits.items())
    return tuple(rules)


@cache
def _brief() -> dict[frozenset[str], str]:
    """Read the sentences, by the cautions that each stands for."""
    text = files("glost.report.things").joinpath("cautions.csv").read_text(encoding="utf-8")
    return {
        frozenset(row["cautions"].split("|")): row["sentence"]
        for row in csv.DictReader(text.splitlines())
    }
