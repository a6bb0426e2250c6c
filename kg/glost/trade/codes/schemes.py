"""Code schemes, read from what is believed."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from rdflib import Literal, URIRef
from rdflib.term import Node

from glost.names import GLOST
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.record.dates import DEFAULT_MARGIN, Margin, hull
from glost.trade.codes.parts import CodePart, Condition, Digits, Meaning, PartTest
from glost.trade.codes.scheme import CodeScheme
from glost.words.labels import first

_DIGITS = re.compile(
    r"(?:(?P<least>[1-9][0-9]{0,3})(?:-(?P<most>[1-9][0-9]{0,3}))?\s+)?(?P<kind>digits|letters)"
)
_TEST = re.compile(r"(?P<part>[A-Za-z0-9_-]+)=(?P<values>\S+)")
_RANGE = re.compile(r"([0-9]{1,18})\.\.([0-9]{1,18})")
_TOKEN = re.compile(r"\{([^{}]*)\}|([^{}]+)")

Bounds = tuple[int | None, int | None]


@dataclass(frozen=True, slots=True)
class SchemeProblem:
    """Something about a scheme that cannot be understood; the rest is read without it.

    Attributes
    ----------
    about
        The scheme or the code part.
    message, remedy
        What is wrong, and what to do.
    statement
        The statement that cannot be understood.
    """

    about: Node
    message: str
    remedy: str
    statement: Triple


class UnclearError(ValueError):
    """A text in a scheme that cannot be understood; carries what to do about it."""

    def __init__(self, message: str, remedy: str) -> None:
        super().__init__(message)
        self.remedy = remedy


def schemes(belief: Belief, margin: Margin = DEFAULT_MARGIN) -> tuple[CodeScheme, ...]:
    """Read the code schemes.

    Parameters
    ----------
    belief
        What is believed.
    margin
        How far dates marked approximate are widened.

    Returns
    -------
    tuple of Scheme
        One for each pattern claimed of each scheme, sorted by IRI and pattern. A value to which
        sources give two meanings has both, each with its own claims. What cannot be understood is
        left out; see `problems`.
    """
    return tuple(found for found in _read(belief, margin) if isinstance(found, CodeScheme))


def problems(belief: Belief) -> tuple[SchemeProblem, ...]:
    """Return what about the schemes cannot be understood, sorted."""
    found = {each for each in _read(belief, DEFAULT_MARGIN) if isinstance(each, SchemeProblem)}
    return tuple(sorted(found, key=lambda p: (str(p.about), p.message)))


def _read(belief: Belief, margin: Margin) -> Iterator[CodeScheme | SchemeProblem]:
    for scheme in belief.things(GLOST.CodeScheme):
        meanings: list[Meaning] = []
        for part in belief.having(GLOST.codePartOf, scheme):
            for each in _meanings(belief, part):
                if isinstance(each, Meaning):
                    meanings.append(each)
                else:
                    yield each
        for pattern in belief.values(scheme, GLOST.pattern):
            statement = (scheme, GLOST.pattern, pattern)
            try:
                tokens = tuple(_tokens(str(pattern), meanings))
            except UnclearError as bad:
                yield SchemeProblem(scheme, str(bad), bad.remedy, statement)
                continue
            yield _scheme(belief, scheme, statement, tokens, margin)


def _scheme(
    belief: Belief, scheme: URIRef, statement: Triple, tokens: tuple[CodePart | str, ...],
    margin: Margin,
) -> CodeScheme:  # fmt: skip
    begin, begun = _bounds(belief, URIRef(f"{scheme}#begin"), margin)
    end, ended = _bounds(belief, URIRef(f"{scheme}#end"), margin)
    codes = {kind.rsplit("/", 1)[-1] for kind in belief.texts(scheme, GLOST.codes)}
    return CodeScheme(
        scheme, belief.named(scheme, GLOST.schemeOf), tuple(sorted(codes)), str(statement[2]),
        tokens, begin, end, belief.rests_on(statement), tuple(dict.fromkeys([*begun, *ended])),
    )  # fmt: skip


def _bounds(belief: Belief, point: URIRef, margin: Margin) -> tuple[Bounds, list[Claim]]:
    told = belief.dates(point, margin)
    return hull(each.date for each in told), [c for each in told for c in each.claims]


def _tokens(pattern: str, meanings: list[Meaning]) -> Iterator[CodePart | str]:
    seen: set[str] = set()
    at = 0
    remedy = "write each part once, in braces: {line}-{run}"
    for match in _TOKEN.finditer(pattern):
        if match.start() != at:
            raise UnclearError(f'the pattern "{pattern}" has a brace too many', remedy)
        at = match.end()
        name, literal = match.groups()
        if literal is not None:
            yield literal
            continue
        if not name or name in seen:
            what = "names a part twice" if name else "has a part without a name"
            raise UnclearError(f'the pattern "{pattern}" {what}', remedy)
        seen.add(name)
        yield CodePart(name, tuple(m for m in meanings if m.part == name))
    if at != len(pattern) or not seen:
        raise UnclearError(f'the pattern "{pattern}" is not made of parts in braces', remedy)


def _meanings(belief: Belief, part: Node) -> Iterator[Meaning | SchemeProblem]:
    """Yield each meaning claims give a code part; a row that gives none supports the others."""
    graph = belief.graph
    name = _text(first(graph, part, GLOST.partName))
    value = _text(first(graph, part, GLOST.partValue))
    written = first(graph, part, GLOST.holdsIn)
    try:
        only_in = conditions(str(written)) if written is not None else ()
    except UnclearError as bad:
        yield SchemeProblem(
            part, str(bad), bad.remedy, (part, GLOST.holdsIn, written or Literal(""))
        )
        return
    also = "true" in belief.texts(part, GLOST.ordinaryToo)
    told: dict[tuple[Node | None, ...], dict[Claim, None]] = {}
    for claim in sorted(belief.about(str(part)), key=lambda c: c.iri):
        content = tuple(_said(claim, part, property_) for property_ in _CONTENT)
        told.setdefault(content, {})[claim] = None
    for content in [c for c in told if any(c is not d and _within(c, d) for d in told)]:
        for other in told:
            if other != content and _within(content, other):
                told[other] |= told[content]
        del told[content]
    for (tells, thing, year, month, digits), claims in told.items():
        if not isinstance(tells, URIRef):
            continue
        try:
            how = None if value else _digits(_text(digits))
        except UnclearError as bad:
            statement = (part, GLOST.partDigits, digits or Literal(""))
            yield SchemeProblem(part, str(bad), bad.remedy, statement)
            continue
        yield Meaning(
            URIRef(str(part)), name, value, tells, thing if isinstance(thing, URIRef) else None,
            _int(year), _int(month), how, only_in, also, tuple(claims),
        )  # fmt: skip


_CONTENT = (
    GLOST.partTells,
    GLOST.denotes,
    GLOST.denotesYear,
    GLOST.denotesMonth,
    GLOST.partDigits,
)


def _said(claim: Claim, part: Node, property_: URIRef) -> Node | None:
    for subject, predicate, value in claim.statements:
        if subject == part and predicate == property_:
            return value
    return None


def _within(a: tuple[Node | None, ...], b: tuple[Node | None, ...]) -> bool:
    """Say whether one content says no more than another."""
    return all(x is None or x == y for x, y in zip(a, b, strict=True))


def _text(node: Node | None) -> str:
    return "" if node is None else str(node)


def _int(node: Node | None) -> int | None:
    return int(str(node)) if node is not None else None


def _digits(text: str) -> Digits:
    if not text:
        return Digits(letters=False)
    match = _DIGITS.fullmatch(text.strip())
    if match is None or (match["most"] and int(match["most"]) < int(match["least"])):
        raise UnclearError(
            f'it is not understood what the part is written in: "{text}"',
            "write digits, letters, 2 digits or 1-3 digits",
        )
    least, most = match["least"], match["most"] or match["least"]
    return Digits(match["kind"] == "letters", int(least or 1), int(most) if most else None)


def conditions(text: str) -> tuple[Condition, ...]:
    """Read in which codes an exception holds.

    Parameters
    ----------
    text
        Whole codes, or tests of other parts parted by spaces (``year=K day=1..19``, values parted
        by commas); alternatives parted by semicolons.

    Raises
    ------
    UnclearError
        If an alternative is empty, or mixes whole codes and tests.
    """
    return tuple(_condition(piece.strip(), text) for piece in text.split(";"))


def _condition(piece: str, text: str) -> Condition:
    words = piece.split()
    if not words:
        remedy = "write a whole code, or PART=VALUE; part several with ;"
        raise UnclearError(f'"{text}" names no code', remedy)
    if "=" not in piece:
        return Condition(code=piece)
    tests = []
    for word in words:
        match = _TEST.fullmatch(word)
        if match is None:
            remedy = "write PART=VALUE, PART=ONE,OTHER or PART=FIRST..LAST, parted by spaces"
            raise UnclearError(f'"{word}" is no condition', remedy)
        ranges, values = [], set()
        for value in match["values"].split(","):
            if limits := _RANGE.fullmatch(value):
                ranges.append((int(limits[1]), int(limits[2])))
            else:
                values.add(value)
        tests.append(PartTest(match["part"], frozenset(values), tuple(ranges)))
    return Condition(tests=tuple(tests))
