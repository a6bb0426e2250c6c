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
from rdflib import Graph, URIRef
from rdflib.namespace import DCTERMS, RDFS, SKOS
from rdflib.term import Node

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


def frame(records: Sequence[Line] | Sequence[Thing]) -> pl.DataFrame:
    """Return records as columns, numbered from 0 in their order as ``id``."""
    types: dict[str, PolarsDataType] = {
        "size": pl.Float64, "price": pl.Float64, "place": pl.Float64, "names": pl.List(pl.Utf8),
        "words": pl.List(pl.Utf8), "years": pl.List(pl.Float64),
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
            known[form] = (_called(own, form), str(forms.class_of(URIRef(form))))
        return known[form]

    found = []
    for shape, offered in _in_order(said, issue):
        of = first[str(GLOST.ofShape)].get(shape, "")
        name = _called(own, str(same.get(URIRef(of), of)))
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
    return Line(
        URIRef(offering),
        shape,
        *(form_of(form) if form else (None, None)),
        _inches(measured if measured is not None else one(GLOST.tradeSize, article)),
        one(GLOST.potterCount, offering),
        plain(number).replace(" ", "") if number is not None else None,
        _price(one(GLOST.price, offering)),
        place,
    )


def _called(own: Mapping[str, Mapping[str, str]], thing: str) -> str | None:
    """Return the usual name of a thing or a term as it is compared; else its IRI's last step."""
    if thing.startswith(SCHEMES):
        return plain(_name(concepts(), URIRef(thing))) or None
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
_MAKERS = (GLOST.madeBy, GLOST.issuedBy, GLOST.usedBy, GLOST.printedBy, GLOST.inPlant,
           GLOST.operatedBy, DCTERMS.publisher)  # fmt: skip
_KINDS = (GLOST.sourceKind, GLOST.kilnKind, GLOST.application, GLOST.firing)
_WORDINGS = (GLOST.wording, DCTERMS.title, DCTERMS.description)
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
    facts = belief.graph
    return tuple(_thing(facts, times, each) for each in sorted(belief.things(kind)))


def _thing(facts: Graph, times: Timed, iri: URIRef) -> Thing:
    names = [plain(str(o)) for p in _NAMES for o in sorted(facts.objects(iri, p), key=str)]
    number = next((o for p in _NUMBERS for o in sorted(facts.objects(iri, p), key=str)), None)
    maker = next((o for p in _MAKERS for o in sorted(facts.objects(iri, p), key=str)), None)
    kinds = next((o for p in _KINDS for o in sorted(facts.objects(iri, p), key=str)), None)
    wording = " ".join(str(o) for p in _WORDINGS for o in sorted(facts.objects(iri, p), key=str))
    unlike = list(dict.fromkeys(name for name in names if name))
    return Thing(
        iri,
        unlike[0] if unlike else None,
        tuple(unlike) or None,
        plain(str(number)).replace(" ", "") if number is not None else None,
        plain(_name(facts, maker)) or None if maker is not None else None,
        plain(min(map(str, facts.objects(iri, GLOST.place)), default="")) or None,
        str(kinds) if kinds is not None else None,
        _years(times, iri),
        tuple(sorted({w for w in plain(wording).split() if len(w) > 2})) or None,
    )


_NAMES = (RDFS.label, SKOS.prefLabel, DCTERMS.title, SKOS.altLabel)


def _years(times: Timed, iri: URIRef) -> tuple[float, float] | None:
    for point in _POINTS:
        bounds = times.bounds(URIRef(f"{iri}{point}"))
        if bounds.earliest is not None and bounds.latest is not None:
            return calendar_day(bounds.earliest)[0], calendar_day(bounds.latest)[0]
    return None


def _name(facts: Graph, thing: Node | None) -> str:
    """Return the usual name of a thing or a term; the last step of its IRI if it has none."""
    if thing is None:
        return ""
    graph = concepts() if str(thing).startswith(SCHEMES) else facts
    named: Iterable[Node] = (o for p in _NAMES for o in sorted(graph.objects(thing, p), key=str))
    return str(next(iter(named), str(thing).rsplit("/", 1)[-1]))
