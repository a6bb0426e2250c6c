"""Ware forms as a collection classes them: flatware, hollow ware, or neither told.

What counts as flatware differs: one pottery's lists put bowls and bakers with it, another's do not.
A row of a collection's ``terms`` table about a form of the published scheme therefore goes before
the scheme: the form, and every narrower one that is not classed itself, counts as the row has it.
"""

from collections.abc import Iterable, Iterator
from enum import StrEnum
from functools import cached_property

from rdflib import URIRef
from rdflib.namespace import RDF, SKOS

from glost.data import concepts
from glost.names import GLOST, SCHEMES
from glost.record.belief import Belief
from glost.record.claims import Triple

_SCHEME = URIRef(f"{SCHEMES}form")
_FLAT, _HOLLOW = URIRef(f"{_SCHEME}/flatware"), URIRef(f"{_SCHEME}/hollow-ware")


class WareClass(StrEnum):
    """The class of a ware form, by how it was made."""

    FLATWARE = "flatware"
    HOLLOW = "hollow ware"
    UNTOLD = "class not told"


_CONCEPTS = {WareClass.FLATWARE: _FLAT, WareClass.HOLLOW: _HOLLOW}


class Forms:
    """The forms of the published scheme and a collection's own.

    Parameters
    ----------
    belief
        What is believed, for the collection's own terms.
    """

    def __init__(self, belief: Belief) -> None:
        self._own = belief.graph
        self._known: dict[URIRef, WareClass] = {}

    @cached_property
    def _replaced(self) -> dict[URIRef, URIRef]:
        """The published forms of which the collection has a row of its own, and that row's form."""
        own = set(self._own.subjects(SKOS.inScheme, _SCHEME))
        return {
            URIRef(f"{_SCHEME}/{str(form).rsplit('/', 1)[-1]}"): form
            for form in sorted(own, key=str)
            if isinstance(form, URIRef) and not form.startswith(SCHEMES)
        }

    def _broader(self, form: URIRef) -> Iterator[tuple[URIRef, tuple[Triple, ...]]]:
        """Yield the forms next above one, each with the collection's statement that it is."""
        own = self._replaced.get(form, form)
        found = sorted(self._own.objects(own, SKOS.broader), key=str)
        for wide in found:
            if isinstance(wide, URIRef):
                yield wide, ((own, SKOS.broader, wide),)
        if not found:
            published = next((p for p, o in self._replaced.items() if o == own), own)
            for wide in sorted(concepts().objects(published, SKOS.broader), key=str):
                if isinstance(wide, URIRef):
                    yield wide, ()

    def _above(self, form: URIRef) -> Iterator[dict[URIRef, tuple[Triple, ...]]]:
        """Yield a form, then the forms next above it, and so on, with the statements to each."""
        level: dict[URIRef, tuple[Triple, ...]] = {form: ()}
        seen: set[URIRef] = set()
        while level:
            yield level
            seen |= set(level)
            following: dict[URIRef, tuple[Triple, ...]] = {}
            for at, path in level.items():
                for wide, said in self._broader(at):
                    if wide not in seen:
                        following.setdefault(wide, (*path, *said))
            level = following

    def wider(self, form: URIRef) -> tuple[URIRef, ...]:
        """Return a form and every wider one, itself first."""
        return tuple(wide for level in self._above(form) for wide in level)

    def class_of(self, form: URIRef) -> WareClass:
        """Return the class of a form: the one that is told nearest above it, if it is one only."""
        if form not in self._known:
            self._known[form] = self._find(form)[0]
        return self._known[form]

    def is_flatware(self, form: URIRef) -> bool:
        """Say whether a form counts as flatware."""
        return self.class_of(form) == WareClass.FLATWARE

    def grounds(self, form: URIRef) -> tuple[Triple, ...]:
        """Return the statements of the collection that a form's class rests on; may be none."""
        return self._find(form)[1]

    def _find(self, form: URIRef) -> tuple[WareClass, tuple[Triple, ...]]:
        for level in self._above(form):
            told = {ware: level[concept] for ware, concept in _CONCEPTS.items() if concept in level}
            if len(told) == 1:
                return told.popitem()
            if told:
                break
        return WareClass.UNTOLD, ()

    def reckoned(self) -> Iterator[Triple]:
        """Yield the class of every form that is named, as ``glost:wareClass``, sorted."""
        named = {*self._own.objects(None, GLOST.form), *self._replaced.values()}
        for form in sorted(named, key=str):
            if isinstance(form, URIRef) and self.class_of(form) in _CONCEPTS:
                yield form, GLOST.wareClass, _CONCEPTS[self.class_of(form)]

    @property
    def replaced(self) -> bool:
        """Whether the collection classes any published form itself."""
        return bool(self._replaced)

    def facts(self) -> Iterator[Triple]:
        """Yield the published concepts, save what makes a form of one class that here is not."""
        if not self._replaced:
            yield from concepts()
            return
        types = {GLOST.FlatwareForm: WareClass.FLATWARE, GLOST.HollowWareForm: WareClass.HOLLOW}
        for form, verb, value in concepts():
            if isinstance(form, URIRef) and isinstance(value, URIRef):
                if verb == RDF.type and types.get(value, self.class_of(form)) != self.class_of(
                    form
                ):
                    continue
                if verb == SKOS.broader and (form, verb, value) not in set(self._steps(form)):
                    continue
            yield form, verb, value

    def _steps(self, form: URIRef) -> Iterator[Triple]:
        """Yield a published form's steps upwards as they hold here."""
        return ((form, SKOS.broader, wide) for wide, _ in self._broader(form))

    def counted(self, forms: Iterable[URIRef]) -> dict[WareClass, int]:
        """Count forms, or articles by their forms, by class."""
        counts = dict.fromkeys(WareClass, 0)
        for form in forms:
            counts[self.class_of(form)] += 1
        return counts
