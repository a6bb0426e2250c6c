"""What is compared: lines of lists, and things of a kind, as columns of records."""

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace

import polars as pl
from polars._typing import PolarsDataType
from rdflib import Graph, URIRef
from rdflib.namespace import DCTERMS, RDFS, SKOS
from rdflib.term import Node

from glost.data import concepts
from glost.names import GLOST, SCHEMES
from glost.record.belief import Belief
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
    """Return a text as it is compared: small letters without accents, words parted by spaces."""
    bare = unicodedata.normalize("NFKD", text.casefold())
    return " ".join(
        re.findall(r"[^\W_]+", "".join(c for c in bare if not unicodedata.combining(c)))
    )


def lines(belief: Belief, issue: URIRef) -> tuple[Line, ...]:
    """Return the lines of a list, in the order of their IRIs.

    Parameters
    ----------
    belief
        What is believed.
    issue
        The list: a catalogue or price list.
    """
    facts, forms = belief.graph, Forms(belief)
    found = []
    for assortment in facts.subjects(GLOST.offeredIn, issue):
        shape = _first(facts, assortment, GLOST.ofShape)
        offered = belief.named(assortment, GLOST.hasOffering)
        ordered = sorted(offered, key=lambda each: _row(belief, each))
        for at, offering in enumerate(ordered):
            line = _line(facts, forms, offering, shape)
            found.append(replace(line, place=at / max(len(ordered) - 1, 1)))
    return tuple(sorted(found, key=lambda line: line.iri))


def _row(belief: Belief, offering: URIRef) -> tuple[str, int]:
    """Return where the first row about an offering stands."""
    return min((claim.origin.file, claim.origin.row) for claim in belief.about(offering))


def _line(facts: Graph, forms: Forms, offering: URIRef, shape: Node | None) -> Line:
    article = _first(facts, offering, GLOST.offersArticle)
    form = _first(facts, article, GLOST.form)
    size = _first(facts, article, GLOST.tradeSize)
    measured = _first(facts, offering, GLOST.measuredSize)
    number = _first(facts, offering, GLOST.itemNumber)
    return Line(
        offering,
        plain(_name(facts, shape)) or None,
        plain(_name(facts, form)) or None,
        str(forms.class_of(form)) if isinstance(form, URIRef) else None,
        _inches(measured) if measured is not None else _inches(size),
        _text(_first(facts, offering, GLOST.potterCount)),
        plain(str(number)).replace(" ", "") if number is not None else None,
        _price(facts, offering),
    )


def _inches(text: Node | None) -> float | None:
    """Read a size in inches: a bare number, as trade sizes are, or a length."""
    if text is None:
        return None
    written = str(text).strip()
    if re.fullmatch(r"[0-9]+(?:\.[0-9]+)?", written):
        return float(written)
    try:
        return float(read_length(written).metres) / _INCH
    except LengthError:
        return None


def _price(facts: Graph, offering: URIRef) -> float | None:
    written = _first(facts, offering, GLOST.price)
    found = re.search(r"[0-9]+(?:[.,][0-9]+)?", str(written)) if written is not None else None
    if found is None:
        return None
    value = float(found[0].replace(",", "."))
    small = re.search(r"c(?:ts?|ents?)?\b|¢|d\b|p\b", str(written), re.IGNORECASE)
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


def _first(facts: Graph, thing: Node | None, property_: URIRef) -> Node | None:
    return None if thing is None else min(facts.objects(thing, property_), key=str, default=None)


def _text(node: Node | None) -> str | None:
    return None if node is None else str(node)


def _name(facts: Graph, thing: Node | None) -> str:
    """Return the usual name of a thing or a term; the last step of its IRI if it has none."""
    if thing is None:
        return ""
    graph = concepts() if str(thing).startswith(SCHEMES) else facts
    named: Iterable[Node] = (o for p in _NAMES for o in sorted(graph.objects(thing, p), key=str))
    return str(next(iter(named), str(thing).rsplit("/", 1)[-1]))
