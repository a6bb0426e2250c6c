"""The rules of time, read from ``rules.toml``: what bounds what, and why."""

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from rdflib import URIRef
from rdflib.namespace import OWL, RDF, RDFS, SKOS

from glost.data import vocabulary
from glost.names import GLOST, SCHEMES
from glost.record.errors import RecordError, RecordErrors, suggestion

SETTINGS = "collection.toml"
FILE = "rules.toml"

IS_A = "a"
"""In a pattern, the property of a thing and its class."""
WHOLE = {"runs": ("begin", "end"), "fired": ("made", "decorated")}
"""Patterns that take all things with one of two points, and those points."""
SCHEME = {"application": "application", "sourceKind": "source-kind"}
"""The concept scheme whose terms stand as values of a property."""
DONE = ("dates", "readings", "sequences", "shown", "missing", "weights")
"""What the program does for rules that are no patterns; see `glost.trade.times.reckoning`."""
_POINTS = ("begin", "end", "made", "decorated")


@dataclass(frozen=True, slots=True)
class TimeRule:
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
def rules() -> dict[str, TimeRule]:
    """Return all rules by name, in the order of the file."""
    text = Path(__file__).with_name(FILE).read_text(encoding="utf-8")
    return {row["name"]: read_rule(row) for row in tomllib.loads(text)["rule"]}


def read_rule(row: Mapping[str, object]) -> TimeRule:
    """Read a rule from its table in the file."""
    texts = {key: str(row.get(key, "")) for key in ("name", "why", "concerns", "single", "how")}
    where, then = row.get("where", []), row.get("then", [])
    assert isinstance(where, list)
    assert isinstance(then, list)
    return TimeRule(
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


def in_force(without: Iterable[str] = (), also: Iterable[str] = ()) -> dict[str, TimeRule]:
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
        For every name that is not a rule's, with the nearest that is; and for every rule that
        speaks of what there is not, such as a property that the vocabulary lacks.
    """
    if wrong := faults(rules().values()):
        raise RecordErrors(wrong)
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


def faults(of: Iterable[TimeRule]) -> list[RecordError]:
    """Find what rules speak of and what there is not: properties, classes, terms, points."""
    return [
        RecordError(FILE, f'rule "{rule.name}": {message}', remedy)
        for rule in of
        for message, remedy in (*_faults_of_patterns(rule), *_faults_of_limits(rule))
    ]


def _faults_of_patterns(rule: TimeRule) -> Iterator[tuple[str, str]]:
    if rule.how and rule.how not in DONE:
        yield f'nothing is done as "{rule.how}"', suggestion(rule.how, DONE, "see `special`")
    for pattern in rule.where:
        said = " ".join(pattern)
        if len(pattern) == 2 and pattern[1] in WHOLE:
            continue
        if len(pattern) != 3:
            yield f'"{said}" is no pattern', 'write "variable property variable" or "variable runs"'
            continue
        for name in pattern[1].split("|") if pattern[1] != IS_A else ():
            if name not in _known(OWL.ObjectProperty, OWL.DatatypeProperty):
                among = _known(OWL.ObjectProperty, OWL.DatatypeProperty)
                yield f'there is no property "{name}"', suggestion(name, among, "see glost.ttl")
        if pattern[1] == IS_A and pattern[2] not in _known(OWL.Class, RDFS.Class):
            remedy = suggestion(pattern[2], _known(OWL.Class, RDFS.Class), "see glost.ttl")
            yield f'there is no class "{pattern[2]}"', remedy
        scheme = SCHEME.get(pattern[1], "")
        for name in pattern[2].split("|") if scheme else ():
            if (URIRef(f"{SCHEMES}{scheme}/{name}"), RDF.type, SKOS.Concept) not in vocabulary():
                yield f'"{name}" is no term of the scheme "{scheme}"', "see `glost terms`"


def _faults_of_limits(rule: TimeRule) -> Iterator[tuple[str, str]]:
    bound = {word for pattern in rule.where for word in (pattern[0], pattern[-1])}
    for one, point, other, its_point, _ in rule.then:
        for name in {one, other} - bound:
            yield f'no pattern of it speaks of "{name}"', "name it in `where`"
        for name in {point, its_point} - {*_POINTS, ""}:
            yield f'there is no point "{name}"', f"points are {', '.join(_POINTS)}"


@cache
def _known(*kinds: URIRef) -> frozenset[str]:
    """Return the local names of the vocabulary's classes or properties."""
    terms = {term for kind in kinds for term in vocabulary().subjects(RDF.type, kind)}
    return frozenset(
        str(t).removeprefix(str(GLOST)) for t in terms if str(t).startswith(str(GLOST))
    )
