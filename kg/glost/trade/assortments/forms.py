"""Ware forms as the form scheme classes them: flatware, hollow ware, or neither told."""

from collections.abc import Iterable
from enum import StrEnum
from functools import cached_property

from rdflib import Graph, URIRef
from rdflib.namespace import RDF, SKOS

from glost.data import concepts
from glost.names import GLOST, SCHEMES
from glost.record.belief import Belief

_FLAT, _HOLLOW = URIRef(f"{SCHEMES}form/flatware"), URIRef(f"{SCHEMES}form/hollow-ware")


class WareClass(StrEnum):
    """The class of a ware form, by how it was made."""

    FLATWARE = "flatware"
    HOLLOW = "hollow ware"
    UNTOLD = "class not told"


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
    def _graphs(self) -> tuple[Graph, Graph]:
        return self._own, concepts()

    def wider(self, form: URIRef) -> tuple[URIRef, ...]:
        """Return a form and every wider one, itself first."""
        found, waiting = [form], [form]
        while waiting:
            at = waiting.pop(0)
            for graph in self._graphs:
                for wide in sorted(graph.objects(at, SKOS.broader), key=str):
                    if isinstance(wide, URIRef) and wide not in found:
                        found.append(wide)
                        waiting.append(wide)
        return tuple(found)

    def class_of(self, form: URIRef) -> WareClass:
        """Return the class of a form: that of the nearest form, itself or wider, that has one."""
        if form not in self._known:
            self._known[form] = self._find(form)
        return self._known[form]

    def _find(self, form: URIRef) -> WareClass:
        for wide in self.wider(form):
            kinds = {kind for graph in self._graphs for kind in graph.objects(wide, RDF.type)}
            flat = wide == _FLAT or GLOST.FlatwareForm in kinds
            hollow = wide == _HOLLOW or GLOST.HollowWareForm in kinds
            if flat != hollow:
                return WareClass.FLATWARE if flat else WareClass.HOLLOW
        return WareClass.UNTOLD

    def counted(self, forms: Iterable[URIRef]) -> dict[WareClass, int]:
        """Count forms, or articles by their forms, by class."""
        counts = dict.fromkeys(WareClass, 0)
        for form in forms:
            counts[self.class_of(form)] += 1
        return counts
