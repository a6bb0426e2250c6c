"""What a question is asked about: from what a user writes to a term the query can hold."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import pyoxigraph as ox
from rdflib.namespace import XSD

from glost.answer.groups import evidence, members, takes_group
from glost.answer.headers import Header, Parameter
from glost.answer.store import Queried
from glost.names import GLOST, SCHEMES
from glost.record.errors import nearest
from glost.record.spelling import id_of
from glost.record.tables import kinds as table_kinds
from glost.usage import UsageError
from glost.words.lookup import NAMING, SHOWN, Names

_NAMES = "|".join(f"<{property_}>" for property_ in NAMING)
_OF_CLASS = f"SELECT ?thing ?name {{ ?thing a $class OPTIONAL {{ ?thing {_NAMES} ?name }} }}"
_FORMS = (
    "SELECT ?thing ?name { ?thing <http://www.w3.org/2004/02/skos/core#inScheme> "
    f"<{SCHEMES}form> OPTIONAL {{ ?thing {_NAMES} ?name }} }}"
)
_PLAIN = {"year": "a year, such as 1915", "number": "a whole number, 0 or more", "text": "a text"}


class ParameterError(UsageError, ValueError):
    """Parameters that a question cannot be asked with.

    Attributes
    ----------
    question
        The question's name.
    errors
        What is wrong with each, and what could be given instead.
    """

    def __init__(self, question: str, errors: list[str]) -> None:
        self.question = question
        self.errors = tuple(errors)
        super().__init__(f"{question}: " + "; ".join(errors))


@dataclass(frozen=True, slots=True)
class Bound:
    """What a question is put about.

    Attributes
    ----------
    given
        Written terms by the names of the parameters that were given; a group stands as itself.
    groups
        IRIs of the groups of shapes that were given, by parameter.
    filled
        As given, with the members of a group in its place, parted by spaces, as ``VALUES`` has
        them.
    """

    given: dict[str, str]
    groups: dict[str, str]
    filled: dict[str, str]


class Things:
    """The things of each kind that the record describes, with their names.

    Parameters
    ----------
    store
        The dataset.
    base
        Base IRI of the collection.
    keepers
        Base IRIs of those that are read together with it, by name.
    """

    def __init__(self, store: Queried, base: str, keepers: Mapping[str, str] | None = None) -> None:
        self._store = store
        self._base = base
        self._keepers = keepers or {}
        self._bases = (base, *self._keepers.values())
        self._kinds: dict[str, dict[str, set[str]]] = {}
        self._named: dict[tuple[str, ...], Names] = {}

    def find(self, kinds: tuple[str, ...], text: str) -> tuple[str, ...]:
        """Return what a text may mean; ``keeper:name`` means that keeper's things alone."""
        keeper, colon, rest = text.partition(":")
        if not colon or keeper not in self._keepers:
            return self.named(kinds).find(text)
        found = self.named(kinds).find(rest)
        return tuple(iri for iri in found if iri.startswith(self._keepers[keeper]))

    def of(self, kind: str) -> dict[str, set[str]]:
        """Return the IRIs of a kind's things, each with its names."""
        if kind not in self._kinds:
            self._kinds[kind] = self._look(kind)
        return self._kinds[kind]

    def named(self, kinds: tuple[str, ...]) -> Names:
        """Return what the things of some kinds are called."""
        if kinds not in self._named:
            called: dict[str, set[str]] = {}
            for kind in kinds:
                called |= self.of(kind)
            usual = {iri: sorted(names) for iri, names in called.items()}
            self._named[kinds] = Names(usual, {*table_kinds(), "form"})
        return self._named[kinds]

    def members(self, group: str) -> tuple[str, ...]:
        """Return the IRIs of the shapes that some source counts in a group, sorted."""
        return members(self._store, group)

    def _look(self, kind: str) -> dict[str, set[str]]:
        if kind == "thing":
            return self._all
        if kind == "form":
            return self._own_first(self._names(_FORMS))
        return self._names(_OF_CLASS.replace("$class", f"<{GLOST[kind.capitalize()]}>"))

    def _own_first(self, forms: dict[str, set[str]]) -> dict[str, set[str]]:
        """Let a form that the collection describes itself stand for the published one."""
        for own in [iri for iri in forms if iri.startswith(self._bases)]:
            published = f"{SCHEMES}form/{own.rsplit('/', 1)[-1]}"
            forms[own] |= forms.pop(published, set())
        return forms

    @cached_property
    def _all(self) -> dict[str, set[str]]:
        found = self._names(_OF_CLASS.replace("$class", "?class"))
        made = tuple(f"{self._base}{kind}/" for kind in ("judgement", "evidence"))
        return {
            iri: names
            for iri, names in found.items()
            if iri.startswith(self._bases) and not iri.startswith(made)
        }

    def _names(self, query: str) -> dict[str, set[str]]:
        found: dict[str, set[str]] = {}
        solutions = self._store.query(query)
        if isinstance(solutions, ox.QuerySolutions):
            for thing, name in solutions:
                if isinstance(thing, ox.NamedNode) and "#" not in thing.value:
                    names = found.setdefault(thing.value, set())
                    if isinstance(name, ox.Literal):
                        names.add(name.value)
        return found


def bind(header: Header, given: Mapping[str, object], things: Things) -> Bound:
    """Work out what each parameter's ``VALUES`` must hold.

    Parameters
    ----------
    header
        The question's.
    given
        Values as the user gives them, by parameter name: a year or number as such or as text, a
        thing by id (``alder``), kind and id (``shape/alder``), IRI or name. A group of shapes may
        stand wherever a shape may.
    things
        What the record describes.

    Returns
    -------
    Bound
        Every term is written by the RDF library, so that no value can end the place it stands in.

    Raises
    ------
    ParameterError
        With everything that is wrong with the parameters.
    """
    errors = []
    known = [parameter.name for parameter in header.parameters]
    for name in given:
        if name not in known:
            remedy = f"it has {', '.join(known)}" if known else "it has none"
            near = nearest(name, known)
            remedy = f'did you mean "{near}"' if near else remedy
            errors.append(f'it has no parameter "{name}"; {remedy}')
    bound = Bound({}, {}, {})
    for parameter in header.parameters:
        value = given.get(parameter.name)
        if value is None or value == "":
            if not parameter.default and not parameter.optional:
                errors.append(f"{parameter.name} must be given: {parameter.meaning}")
            continue
        try:
            _put(bound, parameter, _term(parameter, str(value).strip(), things), things)
        except ValueError as error:
            errors.append(f"{parameter.name}: {error}")
    if errors:
        raise ParameterError(header.name, errors)
    return bound


def about(header: Header, bound: Bound) -> Header:
    """Return a question as it is put: its rows tell which member of a group they are about."""
    return header.telling(bound.groups, evidence(bound.groups))


def _put(
    bound: Bound, parameter: Parameter, term: ox.NamedNode | ox.Literal, things: Things
) -> None:
    """Enter the term given for a parameter; for a group of shapes its members.

    Raises
    ------
    ValueError
        If it is a group without members.
    """
    name = parameter.name
    bound.given[name] = bound.filled[name] = str(term)
    if takes_group(parameter) and term.value in things.of("group"):
        found = things.members(term.value)
        if not found:
            remedy = "name the shapes a source counts in it, in groups.csv, column shape"
            raise ValueError(f"the group {id_of(term.value)} has no members; {remedy}")
        bound.groups[name] = term.value
        bound.filled[name] = " ".join(str(ox.NamedNode(shape)) for shape in found)


def written(kind: str, value: str) -> str:
    """Return a year, number, text or the IRI of a thing as a query writes it."""
    if kind == "text":
        return str(ox.Literal(value))
    if kind in _PLAIN:
        return str(ox.Literal(value, datatype=ox.NamedNode(str(XSD.integer))))
    return str(ox.NamedNode(value))


def _term(parameter: Parameter, value: str, things: Things) -> ox.NamedNode | ox.Literal:
    kind = parameter.kinds[0]
    if kind == "text":
        return ox.Literal(value)
    if kind in _PLAIN:
        if not value.isascii() or not value.isdigit() or len(value) > 4:
            raise ValueError(f'"{value}" is not {_PLAIN[kind]}')
        return ox.Literal(value, datatype=ox.NamedNode(str(XSD.integer)))
    group = ("group",) if takes_group(parameter) and things.of("group") else ()
    return ox.NamedNode(_thing((*parameter.kinds, *group), value, things))


def _thing(kinds: tuple[str, ...], value: str, things: Things) -> str:
    names = things.named(kinds)
    found = things.find(kinds, value)
    if len(found) == 1:
        return found[0]
    if found:
        raise ValueError(f'"{value}" could be any of {names.several(found)}; give one of these')
    raise ValueError(f'there is no {" or ".join(kinds)} "{value}"; {_instead(value, names)}')


def _instead(value: str, names: Names) -> str:
    near = names.instead(value)
    if near:
        return near
    slugs = sorted(id_of(iri).partition("/")[2] for iri in names)
    if not slugs:
        return "the record describes none"
    more = f" and {len(slugs) - SHOWN} more" if len(slugs) > SHOWN else ""
    return f"there are {', '.join(slugs[:SHOWN])}{more}"
