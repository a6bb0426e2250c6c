"""The rules of time, read from ``rules.toml``: what bounds what, and why."""

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from glost.record.errors import RecordError, RecordErrors, suggestion

SETTINGS = "collection.toml"


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule; what each part means stands at the top of ``rules.toml``.

    Attributes
    ----------
    name
        What it is called.
    why
        One sentence that says why it holds.
    concerns
        ``making`` or ``decorating``; empty if it concerns neither in particular.
    on
        Whether it holds unless a collection says otherwise.
    where
        Patterns, each as its three words; the last is missing from ``x runs`` and ``x fired``.
    single
        A variable; empty if there is none.
    then
        Limits as ``(earlier, its point, later, its point, with lag)``.
    how
        What the program does in place of `where` and `then`; empty if nothing.
    """

    name: str
    why: str
    concerns: str
    on: bool
    where: tuple[tuple[str, ...], ...]
    single: str
    then: tuple[tuple[str, str, str, str, bool], ...]
    how: str


@cache
def rules() -> dict[str, Rule]:
    """Return all rules by name, in the order of the file."""
    text = Path(__file__).with_name("rules.toml").read_text(encoding="utf-8")
    return {row["name"]: _rule(row) for row in tomllib.loads(text)["rule"]}


def _rule(row: dict[str, object]) -> Rule:
    texts = {key: str(row.get(key, "")) for key in ("name", "why", "concerns", "single", "how")}
    where, then = row.get("where", []), row.get("then", [])
    assert isinstance(where, list)
    assert isinstance(then, list)
    return Rule(
        on=bool(row.get("on", True)),
        where=tuple(tuple(pattern.split()) for pattern in where),
        then=tuple(_limit(limit) for limit in then),
        **texts,
    )


def _limit(text: str) -> tuple[str, str, str, str, bool]:
    earlier, _, later = text.partition(" <= ")
    later, _, lag = later.partition(" + ")
    one, _, point = earlier.partition(".")
    two, _, other = later.partition(".")
    return one, point, two, other, lag == "lag"


def in_force(without: Iterable[str] = (), also: Iterable[str] = ()) -> dict[str, Rule]:
    """Return the rules that hold.

    Parameters
    ----------
    without
        Names of rules to do without.
    also
        Names of rules to use that hold only where asked for.

    Raises
    ------
    RecordErrors
        For every name that is not a rule's, with the nearest that is.
    """
    off, more = frozenset(without), frozenset(also)
    errors = [
        RecordError(
            SETTINGS,
            f'[dates] names a rule "{name}" that there is not',
            suggestion(name, rules(), f"rules are {', '.join(rules())}"),
            found=name,
        )
        for name in sorted((off | more) - set(rules()))
    ]
    if errors:
        raise RecordErrors(errors)
    return {
        name: rule
        for name, rule in rules().items()
        if name not in off and (rule.on or name in more)
    }
