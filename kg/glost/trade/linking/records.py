"""What is compared: lines of lists, and things of a kind, as columns of records."""

import csv
import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import cache
from pathlib import Path
from types import MappingProxyType

import polars as pl
from polars._typing import PolarsDataType
from rdflib import URIRef
from rdflib.namespace import DC, DCTERMS, RDF, RDFS, SKOS

from glost.data import concepts
from glost.names import GLOST, SCHEMES
from glost.record.belief import Belief
from glost.record.columns import StatementTable
from glost.record.dates import calendar_day
from glost.record.quantities import LengthError, read_length
from glost.trade.assortments.forms import Forms
from glost.trade.times import Timed

_INCH = 0.0254


@dataclass(frozen=True, slots=True)
class Line:
    """A line of a list.

    Attributes
    ----------
    iri
        The offering.
    shape, form, form_class
        What is offered: the shape's name and the form's usual name, both plain; the form's class.
    size
        In inches, if the trade size is a number or the measured size a length; else None.
    count
        The potter's count.
    number
        The item number, plain.
    price
        In hundredths of the unit of money, for a dozen or for each as the list gives it.
    place
        Where it stands among the lines of its shape: 0 first, 1 last, in the order of the rows.
    """

    iri: URIRef
    shape: str | None = None
    form: str | None = None
    form_class: str | None = None
    size: float | None = None
    count: str | None = None
    number: str | None = None
    price: float | None = None
    place: float | None = None


@dataclass(frozen=True, slots=True)
class Thing:
    """A thing of a kind.

    Attributes
    ----------
    iri
        The thing.
    name, names
        What it is mostly called, plain, and all it is called.
    number
        A number it bears, plain.
    maker
        Who made, issued or used it, by name.
    town
        The place where it is, plain.
    kind
        Of what kind it is, where a scheme of kinds is used: a source, a kiln, a mark's application.
    years
        The first and the last year it may have begun or been made in; None where nothing bounds it.
    words
        The words of its wording, title or description.

    Where two keepers' things are compared (see `glost.trade.linking.keepers`), also

    short
        Of a person, all names as initial and surname.
    rare
        Words of its names that few others have.
    ended
        The first and the last year it may have ended in.
    wording
        Of a mark, its letters and figures; what is worn away is left out.
    dated
        Of a source, in place of `years`, those of its date.
    around, seldom
        What stands around it and the other keeper knows too; and what of it stands around few.
    ways
        In which ways it was made, fired or put on, or what somebody was.
    across, length
        Its inner diameter and its length in metres.
    """

    iri: URIRef
    name: str | None = None
    names: tuple[str, ...] | None = None
    number: str | None = None
    maker: str | None = None
    town: str | None = None
    kind: str | None = None
    years: tuple[float, float] | None = None
    words: tuple[str, ...] | None = None
    short: tuple[str, ...] | None = None
    rare: tuple[str, ...] | None = None
    ended: tuple[float, float] | None = None
    dated: tuple[float, float] | None = None
    wording: str | None = None
    around: tuple[str, ...] | None = None
    seldom: tuple[str, ...] | None = None
    ways: tuple[str, ...] | None = None
    across: float | None = None
    length: float | None = None


def frame(records: Sequence[Line] | Sequence[Thing]) -> pl.DataFrame:
    """Return records as columns, numbered from 0 in their order as ``id``."""
    types: dict[str, PolarsDataType] = {
        "size": pl.Float64, "price": pl.Float64, "place": pl.Float64, "names": pl.List(pl.Utf8),
        "words": pl.List(pl.Utf8), "years": pl.List(pl.Float64), "ended": pl.List(pl.Float64),
        "dated": pl.List(pl.Float64),
        "short": pl.List(pl.Utf8), "rare": pl.List(pl.Utf8), "around": pl.List(pl.Utf8),
        "seldom": pl.List(pl.Utf8), "ways": pl.List(pl.Utf8), "across": pl.Float64,
        "length": pl.Float64,
    }  # fmt: skip
    names = [each.name for each in fields(records[0]) if each.name != "iri"]
    made = {
        name: pl.Series(
            name,
            [
                list(value) if isinstance(value := getattr(each, name), tuple) else value
                for each in records
            ],
            types.get(name, pl.Utf8),
        )
        for name in names
    }
    return pl.DataFrame({"id": range(len(records)), **made})


def plain(text: str) -> str:
    """Return a text as it is compared: small letters without accents, words parted by spaces.

    What is written short in the trade is written out, by `abbreviations.csv`.
    """
    bare = unicodedata.normalize("NFKD", text.casefold())
    words = re.findall(r"[^\W_]+", "".join(c for c in bare if not unicodedata.combining(c)))
    read = (_abbreviations().get(word, word) for word in words)
    # A text of nothing but such words is left as it is.
    return " ".join(word for word in read if word) or " ".join(words)


@cache
def _abbreviations() -> dict[str, str]:
    text = Path(__file__).with_name("abbreviations.csv").read_text(encoding="utf-8")
    return {row["written"]: row["read"] for row in csv.DictReader(text.splitlines())}


def lines(
    belief: Belief, issue: URIRef, same: Mapping[URIRef, URIRef] = MappingProxyType({})
) -> tuple[Line, ...]:
    """Return the lines of a list, in the order of their IRIs.

    Parameters
    ----------
    belief
        What is believed.
    issue
        The list: a catalogue or price list.
    same
        Of each shape that is said to be the same as others, the one by whose name it goes.
    """
    said = belief.table(frozenset(map(str, (*_OF_LINES, *_NAMES))))
    first = {name: _firsts(table) for name, table in said.of.items()}
    forms, own = Forms(belief.among("terms")), {str(p): first[str(p)] for p in _NAMES}
    known: dict[str, tuple[str | None, str | None]] = {}

    def form_of(form: str) -> tuple[str | None, str | None]:
        if form not in known:
            known[form] = (called(own, form), str(forms.class_of(URIRef(form))))
        return known[form]

    found = []
    for shape, offered in _in_order(said, issue):
        of = first[str(GLOST.ofShape)].get(shape, "")
        name = called(own, str(same.get(URIRef(of), of)))
        for at, offering in enumerate(offered):
            place = at / max(len(offered) - 1, 1)
            found.append(_line(first, form_of, offering, name, place))
    return tuple(sorted(found, key=lambda line: line.iri))


_OF_LINES = (GLOST.offeredIn, GLOST.ofShape, GLOST.hasOffering, GLOST.offersArticle, GLOST.form,
             GLOST.tradeSize, GLOST.measuredSize, GLOST.itemNumber, GLOST.potterCount,
             GLOST.price)  # fmt: skip


def _firsts(said: pl.DataFrame) -> dict[str, str]:
    """Return of each subject the first object, in the order of texts."""
    return dict(said.group_by("subject").agg(pl.col("object").min()).rows())


def _in_order(said: StatementTable, issue: URIRef) -> Iterator[tuple[str, list[str]]]:
    """Yield each assortment of a list with its offerings, in the order of their first rows."""
    there = said.of[str(GLOST.offeredIn)].filter(pl.col("object") == str(issue))
    offered = said.of[str(GLOST.hasOffering)].join(there, on="subject", how="semi")
    rows: dict[str, dict[str, tuple[str, int]]] = {}
    for assortment, offering, claim in offered.select("subject", "object", "claim").rows():
        origin = said.claims[claim].origin
        own = rows.setdefault(assortment, {})
        at = (origin.file, origin.row)
        own[offering] = min(own.get(offering, at), at)
    for assortment in sorted(rows):
        own = rows[assortment]
        yield assortment, sorted(own, key=lambda each: (own[each], each))


def _line(
    first: Mapping[str, Mapping[str, str]],
    form_of: Callable[[str], tuple[str | None, str | None]],
    offering: str,
    shape: str | None,
    place: float,
) -> Line:
    def one(property_: URIRef, of: str) -> str | None:
        return first[str(property_)].get(of)

    article = one(GLOST.offersArticle, offering) or ""
    form = one(GLOST.form, article)
    measured, number = one(GLOST.measuredSize, offering), one(GLOST.itemNumber, offering)
    size = one(GLOST.tradeSize, article)
    # Some write a potter's count as the size: 42s.
    count = size if size and re.fullmatch("[0-9]+s", size.strip()) else None
    return Line(
        URIRef(offering),
        shape,
        *(form_of(form) if form else (None, None)),
        _inches(measured if measured is not None else size),
        one(GLOST.potterCount, offering) or count,
        joined(number) if number is not None else None,
        _price(one(GLOST.price, offering)),
        place,
    )


def called(own: Mapping[str, Mapping[str, str]], thing: str) -> str | None:
    """Return the usual name of a thing or a term as it is compared; else its IRI's last step."""
    if thing.startswith(SCHEMES):
        return plain(_term(thing)) or None
    names = (own[str(p)][thing] for p in _NAMES if thing in own[str(p)])
    return plain(next(names, thing.rsplit("/", 1)[-1])) or None


def _inches(text: str | None) -> float | None:
    """Read a size in inches: a bare number, as trade sizes are, or a length."""
    if text is None:
        return None
    written = text.strip()
    if re.fullmatch(r"[0-9]+(?:\.[0-9]+)?", written):
        return float(written)
    try:
        return float(read_length(written).metres) / _INCH
    except LengthError:
        return None


def _price(written: str | None) -> float | None:
    found = re.search(r"[0-9]+(?:[.,][0-9]+)?", written or "")
    if written is None or found is None:
        return None
    value = float(found[0].replace(",", "."))
    small = re.search(r"c(?:ts?|ents?)?\b|¢|d\b|p\b", written, re.IGNORECASE)
    return value if small else value * 100


_NUMBERS = (GLOST.treatmentNumber, GLOST.printerNumber, GLOST.kilnNumber, GLOST.plantNumber,
            GLOST.shelfmark)  # fmt: skip
MAKERS = (GLOST.madeBy, GLOST.issuedBy, GLOST.usedBy, GLOST.printedBy, GLOST.inPlant,
           GLOST.operatedBy, DC.publisher)  # fmt: skip
"""By what a thing is its maker's."""
_KINDS = (GLOST.sourceKind, GLOST.kilnKind, GLOST.application, GLOST.firing)
_WORDINGS = (GLOST.wording, DCTERMS.title, DCTERMS.description)
_TOWNS = (GLOST.place,)
_POINTS = ("", "#begin", "#made")


def things(belief: Belief, times: Timed, kind: URIRef) -> tuple[Thing, ...]:
    """Return the things of a class, in the order of their IRIs.

    Parameters
    ----------
    belief
        What is believed.
    times
        Between which days things began or were made.
    kind
        The class.
    """
    said = belief.table(frozenset(map(str, (*TOLD, RDF.type))))
    values = {
        name: dict(table.group_by("subject").agg(pl.col("object").unique().sort()).rows())
        for name, table in said.of.items()
    }
    found = said.of[str(RDF.type)].filter(pl.col("object") == str(kind))["subject"].unique().sort()
    return things_of(map(URIRef, found), values, lambda iri: years_of(times, iri))


Values = Mapping[str, Mapping[str, Sequence[str]]]
"""By IRI of a property and of a thing, the values that are given, sorted."""


def things_of(
    iris: Iterable[URIRef],
    values: Values,
    years: Callable[[URIRef], tuple[float, float] | None],
) -> tuple[Thing, ...]:
    """Return things as they are compared.

    Parameters
    ----------
    iris
        The things.
    values
        What is said of them in each of the properties `TOLD`.
    years
        Gives the first and the last year one may have begun or been made in.
    """
    names = first_names(values)
    return tuple(_thing(values, names, each, years(each)) for each in iris)


def first_names(values: Values) -> Mapping[str, Mapping[str, str]]:
    """Return by property and by thing the first of its names."""
    return {str(p): {s: v[0] for s, v in values.get(str(p), {}).items() if v} for p in _NAMES}


def _thing(
    values: Values,
    own: Mapping[str, Mapping[str, str]],
    iri: URIRef,
    years: tuple[float, float] | None,
) -> Thing:
    def given(properties: Iterable[URIRef]) -> list[str]:
        return [e for p in properties for e in values.get(str(p), {}).get(str(iri), ())]

    names = [plain(each) for each in given(_NAMES)]
    number, maker, kind = (next(iter(given(each)), None) for each in (_NUMBERS, MAKERS, _KINDS))
    unlike = list(dict.fromkeys(name for name in names if name))
    return Thing(
        iri,
        unlike[0] if unlike else None,
        tuple(unlike) or None,
        joined(number) if number is not None else None,
        called(own, maker) if maker is not None else None,
        plain(next(iter(given(_TOWNS)), "")) or None,
        kind,
        years,
        words_of(" ".join(given(_WORDINGS))),
    )


def joined(number: str) -> str:
    """Return a number as it is compared: small letters and figures, nothing between."""
    return plain(number).replace(" ", "")


def words_of(text: str) -> tuple[str, ...] | None:
    """Return the words of a wording as they are compared; None if there are none."""
    return tuple(sorted({word for word in plain(text).split() if len(word) > 2})) or None


_NAMES = (RDFS.label, SKOS.prefLabel, DCTERMS.title, SKOS.altLabel)
COLUMNS = MappingProxyType(
    {"number": _NUMBERS, "maker": MAKERS, "town": _TOWNS, "kind": _KINDS, "words": _WORDINGS,
     "name": _NAMES}
)  # fmt: skip
"""The properties that columns of things are read from, beside their dates."""
TOLD = tuple(each for properties in COLUMNS.values() for each in properties)
"""All of these."""


def years_of(times: Timed, iri: URIRef, *points: str) -> tuple[float, float] | None:
    """Return the first and the last year in which a point of a thing may lie; None if not bounded.

    Parameters
    ----------
    times
        Between which days things lie.
    iri
        The thing.
    points
        What follows its IRI in that of the point, the first that is bounded; when it began or was
        made if none is given.
    """
    for point in points or _POINTS:
        bounds = times.bounds(URIRef(f"{iri}{point}"))
        if bounds.earliest is not None and bounds.latest is not None:
            return calendar_day(bounds.earliest)[0], calendar_day(bounds.latest)[0]
    return None


def _term(iri: str) -> str:
    """Return the usual name of a term of a published list; its IRI's last step if it has none."""
    named = (o for p in _NAMES for o in sorted(concepts().objects(URIRef(iri), p), key=str))
    return str(next(named, iri.rsplit("/", 1)[-1]))
