"""Cautions that belong with a thing, in two sentences; in full among what they rest on."""

import csv
from collections import defaultdict
from collections.abc import Iterable
from functools import cache
from importlib.resources import files

from glost.report.tree import Column, Group, Report, Row, Rule, Section, Statement, Table
from glost.trade.cautions import Caution, all_cautions, cautions_for, limits


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
    rules, of_authority = [], defaultdict(list)
    for caution in cautions:
        source = f"{caution.source} ({caution.standing})" if caution.source else "common practice"
        rules.append(Rule(f"{caution.heading}: {caution.text.rstrip('.')}", source))
        for limit in caution.limits:
            year = f", {limit.year}" if limit.year else ""
            of_authority[f"{limit.authority}{year} ({limit.standing})"].append(str(limit))
    rules += (Rule(f"Limits set: {'; '.join(some)}", by) for by, some in of_authority.items())
    return tuple(rules)


def all_in_full() -> Report:
    """Return every caution and every limit, for a page of its own."""
    columns = (
        Column("authority", "Authority"),
        Column("year", "Year", "date"),
        Column("metal", "Metal"),
        Column("ware", "Ware, as the authority divides it"),
        Column("limit", "Limit"),
        Column("standing", "Read in the rule, or from memory"),
    )
    rows = tuple(
        Row(
            (
                each.authority,
                each.year or None,
                each.metal,
                f"{each.category}{f', {each.criterion}' if each.criterion else ''}",
                f"{each.limit} {each.unit}",
                each.standing,
            ),
            (Rule(each.authority),),
        )
        for each in limits()
    )
    told = tuple(
        Statement(
            (each.text,),
            (Rule(each.source or "Common practice", each.standing if each.source else ""),),
            _name=(each.heading,),
        )
        for each in all_cautions()
    )
    heading = ("Limits that authorities set, in the tests they prescribe",)
    parts = (Group(told), Table(columns, rows, heading, ("authority", "metal")))
    return Report("", "Cautions and limits", sections=(Section("all", "Cautions", parts),))


@cache
def _brief() -> dict[frozenset[str], str]:
    """Read the sentences, by the cautions that each stands for."""
    text = files("glost.report.things").joinpath("cautions.csv").read_text(encoding="utf-8")
    return {
        frozenset(row["cautions"].split("|")): row["sentence"]
        for row in csv.DictReader(text.splitlines())
    }
