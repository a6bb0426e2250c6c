"""Whatever the scheme: what is decoded can be encoded again, and many codes are read as one by one."""

from calendar import monthrange
from collections.abc import Callable
from datetime import date
from itertools import product

from hypothesis import example, given, settings
from hypothesis import strategies as st
from rdflib import URIRef

from glost.names import SCHEMES
from glost.trade.codes import CodeError, CodeScheme, Reading, decode, decode_many, encode
from glost.trade.codes.parts import CodePart, Condition, Digits, Meaning, PartTest

DATED = ("year", "month", "day", "quarter")
KINDS = (*DATED, "shape", "running-number")
LETTERS = "AB1"
Draw = Callable[..., object]


def meaning(part: str, value: str, kind: str, number: int, **more: object) -> Meaning:
    thing = URIRef(f"https://example.org/{kind}/{number}") if kind == "shape" else None
    given = {
        "iri": URIRef(f"https://example.org/codepart/{part}.{value}.{number}"),
        "part": part,
        "value": value,
        "tells": URIRef(f"{SCHEMES}code-meaning/{kind}"),
        "thing": thing,
        "year": 1900 + number if kind == "year" else None,
        "month": 1 + number % 12 if kind in ("month", "quarter") else None,
        "digits": None,
        "only_in": (),
        "also": False,
        "claims": (),
    }
    return Meaning(**{**given, **more})  # type: ignore[arg-type]


@st.composite
def parts(draw, name: str, others: tuple[str, ...]) -> CodePart:  # type: ignore[no-untyped-def]
    kind = draw(st.sampled_from(KINDS))
    counted = kind == "running-number" or draw(st.booleans())
    found = []
    if counted:
        least = draw(st.integers(1, 2))
        most = draw(st.sampled_from([None, least, least + 1]))
        digits = Digits(kind != "day" and draw(st.booleans()), least, most)
        found.append(meaning(name, "", kind, 0, digits=digits, thing=None))
    values = st.text(LETTERS, min_size=1, max_size=2)
    numbers = st.integers(0, 11)
    if kind not in ("running-number", "day"):
        for value, number in draw(
            st.lists(
                st.tuples(values, numbers), min_size=0 if counted else 1, max_size=4, unique=True
            )
        ):
            found.append(meaning(name, value, kind, number))
        for value, number in draw(st.lists(st.tuples(values, numbers), max_size=2, unique=True)):
            test = PartTest(
                draw(st.sampled_from(others)),
                frozenset([draw(values)]),
                draw(st.sampled_from([(), ((0, 12),)])),
            )
            whole = Condition(code=draw(st.text(LETTERS + "-", min_size=2, max_size=4)))
            only_in = draw(
                st.sampled_from([(Condition(tests=(test,)),), (whole, Condition(tests=(test,)))])
            )
            also = draw(st.booleans())
            found.append(meaning(name, value, kind, number + 12, only_in=only_in, also=also))
    return CodePart(name, tuple(sorted(found, key=lambda m: m.value)))


@st.composite
def some_schemes(draw) -> CodeScheme:  # type: ignore[no-untyped-def]
    names = draw(st.sampled_from([("p", "q"), ("p", "q", "r")]))
    tokens: list[CodePart | str] = []
    for at, name in enumerate(names):
        if at and draw(st.booleans()):
            tokens.append("-")
        tokens.append(draw(parts(name, names)))
    pattern = "".join(t if isinstance(t, str) else f"{{{t.name}}}" for t in tokens)
    begin, end = draw(
        st.sampled_from([((None, None), (None, None)), ((693_000, 694_000), (696_000, 697_000))])
    )
    return CodeScheme(
        URIRef("https://example.org/scheme"), (), ("date",), pattern, tuple(tokens), begin, end, ()
    )


codes = st.lists(st.text("AB123-?", min_size=1, max_size=6), min_size=1, max_size=20)


def of_values(scheme: CodeScheme) -> list[str]:
    """Return codes made of every value the scheme's tables know and a few counted ones."""
    found = []
    for chosen in product(*([*list(p.table)[:3], "1", "12", "A"] for p in scheme.parts)):
        found.append(scheme.write(dict(zip([p.name for p in scheme.parts], chosen, strict=True))))
    return found[:60]


@settings(max_examples=40)
@given(st.lists(some_schemes(), min_size=1, max_size=2), codes)
def test_many_codes_are_read_as_one_by_one(some: list[CodeScheme], more: list[str]) -> None:
    texts = [*(text for scheme in some for text in of_values(scheme)), *more]
    expected, worn = [], []
    for at, text in enumerate(texts):
        try:
            expected += [(at, *told(each, each.code)) for each in decode(text, some).readings]
        except CodeError:
            worn.append(at)
    many = decode_many(texts, some)
    got = [(at, *told(many.alike[alike], code)) for at, code, alike in many.readings.rows()]
    assert many.too_worn == tuple(worn)
    assert sorted(got, key=repr) == sorted(expected, key=repr)


def told(reading: Reading, code: str) -> tuple[object, ...]:
    meanings = tuple(part.meaning.iri for part in reading.parts)
    span = (reading.earliest, reading.latest, reading.in_force)
    return id(reading.scheme), code, span, meanings, sorted(reading.things.items())


@settings(max_examples=40)
@given(some_schemes(), codes)
def test_a_worn_code_is_read_as_codes_that_fit_it_are(scheme: CodeScheme, more: list[str]) -> None:
    for text in more:
        try:
            readings = decode(text, [scheme]).readings
        except CodeError:
            continue
        for reading in readings:
            assert len(reading.code) == len(text)
            assert all(seen in (sign, "?") for seen, sign in zip(text, reading.code, strict=True))
            if "?" not in reading.code:
                alone = decode(reading.code, [scheme]).readings
                assert row(reading) in [row(each) for each in alone]


@settings(max_examples=40)
@given(some_schemes(), codes)
def test_a_code_tells_the_days_of_its_year_month_and_day(
    scheme: CodeScheme, more: list[str]
) -> None:
    for text in [*of_values(scheme), *(each for each in more if "?" not in each)]:
        for reading in decode(text, [scheme]).readings:
            told = {part.tells: (part.year, part.month, part.day) for part in reading.parts}
            year = told.get("year", (None,))[0]
            if year is None:
                assert (reading.earliest, reading.latest) == (None, None)
                continue
            month = told["month"][1] if "month" in told else None
            if month is None and "quarter" in told:
                first = told["quarter"][1]
                last = min(first + 2, 12)
            else:
                first, last = month or 1, month or 12
            day = told["day"][2] if "day" in told and (month or "quarter" in told) else None
            if day is not None:
                days = (date(year, first, day), date(year, first, day))
            else:
                days = (date(year, first, 1), date(year, last, monthrange(year, last)[1]))
            assert (reading.earliest, reading.latest) == tuple(d.toordinal() for d in days)


def row(reading: Reading) -> tuple[object, ...]:
    shape = next((str(reading.things[kind]) for kind in ("shape",) if kind in reading.things), None)
    return reading.code, reading.earliest, reading.latest, shape


def one_year_spelt_twice() -> CodeScheme:
    """Return a scheme where A and B tell 1905, and 1 counts, but after B may also tell a shape."""
    year = CodePart("p", (meaning("p", "A", "year", 5), meaning("p", "B", "year", 5)))
    after_b = (Condition(tests=(PartTest("p", frozenset("B")),)),)
    shape = (
        meaning("q", "", "shape", 0, digits=Digits(letters=False, least=1, most=1), thing=None),
        meaning("q", "1", "shape", 12, only_in=after_b),
    )
    tokens = (year, "-", CodePart("q", shape))
    life: tuple[None, None] = (None, None)
    return CodeScheme(
        URIRef("https://example.org/scheme"), (), ("date",), "{p}-{q}", tokens, life, life, ()
    )


@settings(max_examples=40)
@given(some_schemes(), codes)
@example(one_year_spelt_twice(), ["A-1"])
def test_what_is_decoded_can_be_encoded_and_what_is_encoded_decoded(
    scheme: CodeScheme, more: list[str]
) -> None:
    for text in [*of_values(scheme), *more]:
        if "?" in text:
            continue
        for reading in decode(text, [scheme]).readings:
            assert reading.code == text
            wanted = {part.name: tells(part) for part in reading.parts}
            made = encode(scheme, wanted)  # type: ignore[arg-type]
            assert text in [each.code for each in made]
            for each in made:
                assert each.reading in decode(each.code, [scheme]).readings
                for part in each.reading.parts:
                    # What was asked for by its characters may tell a thing in another code.
                    asked = wanted[part.name]
                    literal = isinstance(asked, str) and not isinstance(asked, URIRef)
                    assert (part.value if literal else tells(part)) == asked


def tells(part) -> object:  # type: ignore[no-untyped-def]
    if part.meaning.thing is not None:
        return part.meaning.thing
    if part.tells in ("year", "month", "day"):
        return {"year": part.year, "month": part.month, "day": part.day}[part.tells]
    return part.value


def test_a_value_asked_for_as_written_may_tell_a_thing_after_another_spelling() -> None:
    scheme = one_year_spelt_twice()
    made = encode(scheme, {"p": 1905, "q": "1"})
    assert [each.code for each in made] == ["A-1", "B-1"]
    assert [each.reading.things for each in made] == [
        {},
        {"shape": URIRef("https://example.org/shape/12")},
    ]


@settings(max_examples=40)
@given(some_schemes(), st.data())
def test_wearing_a_character_loses_no_reading(scheme: CodeScheme, data: st.DataObject) -> None:
    texts = [t for t in of_values(scheme) if decode(t, [scheme]).readings]
    if not texts:
        return
    text = data.draw(st.sampled_from(texts))
    at = data.draw(st.integers(0, len(text) - 1))
    worn = decode(f"{text[:at]}?{text[at + 1 :]}", [scheme]).readings
    for reading in decode(text, [scheme]).readings:
        assert any(
            (r.earliest, r.latest, r.things) == (reading.earliest, reading.latest, reading.things)
            for r in worn
        )
