"""What disagrees about a thing, grouped by what it is about: a headline and its sides."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from rdflib import URIRef
from rdflib.term import Node

from glost.answer.checks.remarks import DOUBTED
from glost.findings import Finding, Severity
from glost.record.claims import Claim, Triple
from glost.record.index import whole
from glost.report.things.basis import ThingBasis, Whole, finding_name
from glost.report.things.dates import dated, limit, step
from glost.report.things.said import Said, capital
from glost.report.things.statements import dating, own
from glost.report.tree import CitedPassage, Group, Ref, Rule, Section, Sentence, Statement
from glost.words.english import count
from glost.words.sentences import POINTS
from glost.words.spans import length, no_earlier, no_later

if TYPE_CHECKING:
    from glost.trade.times import Argument, Conflict

_MANY = 6
"""More like claims on a side than this are folded into one line."""
_ALWAYS = Rule("This holds whatever is claimed")
_FOUND = Rule("Found by a check of the record")
_OF_DATES = {"dates-clash", "decoded-outside-life"}
"""Checks that find what is told of dates already, if every claim in it is."""


def disputed(basis: ThingBasis, said: Said, thing: URIRef) -> frozenset[Triple]:
    """Return the statements of a thing of which a claim stands on a side of a contradiction."""
    found: set[Triple] = set()
    for triples in _differing(basis, str(thing)):
        found.update(triples)
    for each in dated(basis, thing):
        if each.disputed:
            found.update(t for t in each.stated if not each.fits(str(t[2])))
    return frozenset(found)


def _differing(basis: ThingBasis, thing: str) -> Iterator[tuple[Triple, ...]]:
    """Yield statements of a property with one value that give it several, by property."""
    from glost.answer.values import differing_values, single

    by: dict[tuple[Node, Node], list[Triple]] = defaultdict(list)
    for triple in own(basis, thing):
        if triple[1] in single():
            by[triple[0], triple[1]].append(triple)
    belief, margin = basis.belief, basis.snapshot.collection.margin
    for (subject, property_), triples in by.items():
        values = [triple[2] for triple in triples]
        if len(values) > 1 and [
            *differing_values(subject, property_, values, belief, belief.worded, margin)
        ]:
            yield tuple(triples)


def conflicts(basis: ThingBasis, said: Said, thing: URIRef) -> Iterator[Section]:
    """Tell what disagrees: dates by their point, values by their property, then other findings."""
    groups: list[Group] = []
    told: set[str] = set()
    for each in (*_of_dates(basis, said, thing), *_of_values(basis, said, thing)):
        groups.append(each)
        told.update(_claims(each))
    groups += _others(basis, said, thing, told)
    if groups:
        yield Section("disputed", "Conflicts", tuple(groups))


def _claims(group: Group) -> Iterator[str]:
    for statement in group.statements:
        for each in statement.all():
            for note in each.notes:
                if isinstance(note, CitedPassage):
                    yield from (claim.iri for claim in note.claims)


# -- dates -----------------------------------------------------------------------------------------


def _of_dates(basis: ThingBasis, said: Said, thing: URIRef) -> Iterator[Group]:
    """Tell contradictions of dates, those that meet at one point together."""
    found = basis.conflicts.get(str(thing), ()) if isinstance(basis, Whole) else ()
    by: dict[URIRef, list[Conflict]] = defaultdict(list)
    for conflict in found:
        by[conflict.point].append(conflict)
    for point, some in sorted(by.items(), key=lambda item: (whole(item[0]) != str(thing), item[0])):
        yield _clash(basis, said, point, some)


def _clash(basis: ThingBasis, said: Said, point: URIRef, some: "Sequence[Conflict]") -> Group:
    other, _, name = str(point).partition("#")
    ref = said.ref(URIRef(other))
    early = min((c.not_after for c in some), key=lambda a: a.day)
    late = max((c.not_before for c in some), key=lambda a: a.day)
    verb = POINTS.get(name, "came out")
    if any(conflict.origin is not None for conflict in some):
        heading: Sentence = (ref, f" {verb}: these cannot all hold")
    else:
        by, since = no_later(early.day), no_earlier(late.day)
        heading = (ref, f" {verb} by {by}, yet in {since} or later?")
    apart = max(conflict.days for conflict in some)
    sides = tuple(
        _side(basis, said, [*dict.fromkeys(arguments)], conflict_of)
        for arguments, conflict_of in (
            ([c.not_after for c in some], some),
            ([c.not_before for c in some], some),
        )
    )
    heading = (*heading[:-1], f"{heading[-1]!s} They are {length(apart)} apart.")
    return Group(sides, heading, sides=True)


def _side(
    basis: ThingBasis,
    said: Said,
    arguments: "Sequence[Argument]",
    some: "Sequence[Conflict]",
) -> Statement:
    """Tell one side: its limit, and under it the steps of every argument that gives it."""
    first = arguments[0]
    origin = next((c.origin for c in some if c.origin is not None), None)
    claims = [claim for argument in arguments for claim in argument.claims]
    grounds = said.grounds(claims) or (_ALWAYS,)
    if origin is not None:
        much = f"{length(abs(first.day))} {'earlier' if first.day < 0 else 'later'}"
        text = f"At {'most' if first.late else 'least'} {much}, counted from the "
        return Statement((text, said.ref(origin)), grounds)
    tight = (min if first.late else max)(arguments, key=lambda each: each.day)
    steps: dict[str, Statement] = {}
    for argument in arguments:
        for one in argument.steps:
            made = step(basis, said, one, argument.late)
            steps.setdefault(str(made), made)
    told = (capital(limit(tight.late, tight.day)),)
    return Statement(told, grounds, parts=_few(said, tuple(steps.values()), claims))


def _few(
    said: Said, steps: tuple[Statement, ...], claims: Iterable[Claim]
) -> tuple[Statement, ...]:
    """Tell the first of very many steps, and that there are more with the claims of all."""
    if len(steps) <= _MANY + 1:
        return steps
    more = f"{len(steps) - _MANY:,} more statements of the same sort."
    return (*steps[:_MANY], Statement((more,), said.grounds(claims)))


# -- values ----------------------------------------------------------------------------------------


def _of_values(basis: ThingBasis, said: Said, thing: URIRef) -> Iterator[Group]:
    told = {str(c.point) for c in basis.conflicts.get(str(thing), ())} if isinstance(
        basis, Whole
    ) else set()  # fmt: skip
    for triples in _differing(basis, str(thing)):
        subject, property_, _ = triples[0]
        if dating(triples[0]) and str(subject) in told:
            continue
        yield _values(said, said.name(property_), triples)


def _values(said: Said, name: str, triples: Iterable[Triple]) -> Group:
    triples = tuple(triples)
    words = " or ".join(str(said.value(value)) for _, _, value in triples)
    point = str(triples[0][0]).partition("#")[2]
    what = capital(POINTS.get(point, name).removeprefix("was "))
    sides = tuple(Statement((said.value(triple[2]),), said.stated(triple)) for triple in triples)
    return Group(sides, (f"{what}: {words}?",), sides=True)


# -- findings --------------------------------------------------------------------------------------


def _others(basis: ThingBasis, said: Said, thing: URIRef, told: set[str]) -> Iterator[Group]:
    """Tell what checks found, but for what is told above: all its claims then stand there."""
    if not isinstance(basis, Whole):
        return
    statements = []
    for finding in basis.findings_about.get(str(thing), ()):
        again = finding.kind in {*_OF_DATES, "differing-values"}
        if finding.severity == Severity.NOTE and not finding.claims:
            continue
        if again and set(finding.claims) <= told:
            continue
        statements.append(_finding(basis, said, finding, sides=finding.kind != DOUBTED))
    if statements:
        yield Group(tuple(statements))


def found_of(basis: ThingBasis, said: Said, iri: str) -> Iterator[Section]:
    """Tell the findings that a claim takes part in."""
    if not isinstance(basis, Whole):
        return
    found = basis.findings_about.get(iri, ())
    told = tuple(_finding(basis, said, finding, sides=False) for finding in found)
    if told:
        yield Section("disputed", "Conflicts", (Group(told),))


def in_dispute(basis: ThingBasis, claim: str) -> bool:
    """Say whether a claim, by its IRI, takes part in a contradiction."""
    found = basis.findings_about.get(claim, ()) if isinstance(basis, Whole) else ()
    return any(finding.severity == Severity.CONTRADICTION for finding in found)


def _finding(basis: Whole, said: Said, finding: Finding, *, sides: bool = True) -> Statement:
    by: dict[str, list[Claim]] = defaultdict(list)
    for side in finding.sides:
        claim = basis.claim(side.claim)
        if claim is not None:
            by[side.says].append(claim)
    parts = tuple(
        Statement((f"{text.removesuffix('.')}.",), said.grounds(some))
        for text, some in list(by.items())[:_MANY]
    )
    rest = [claim for some in list(by.values())[_MANY:] for claim in some]
    if rest:
        text = f"{count(len(rest), 'more claim')} of the same sort."
        parts = (*parts, Statement((text,), said.grounds(rest)))
    every = [claim for some in by.values() for claim in some]
    sentence: Sentence = (finding.message,)
    if basis.linked:
        sentence = (Ref(f"{basis.base}findings/{finding_name(finding)}", finding.message),)
    status = str(finding.severity)
    under = parts if sides else ()
    return Statement(sentence, said.grounds(every) or (_FOUND,), status, parts=under)
