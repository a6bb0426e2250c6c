"""Makes ``shapes_shacl/profile/`` from the vocabulary, its schemes and the table descriptions.

Run it by hand after a change of these: ``python tests/support/profile_maker.py``. A test makes the
profile again and compares.
"""

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from rdflib import Graph, URIRef
from rdflib.collection import Collection
from rdflib.namespace import OWL, RDF, RDFS, SDO, SKOS, XSD

from glost.data import concepts, folder, vocabulary
from glost.names import EDTF, GLOST, SCHEMES
from glost.record.tables import tables
from glost.record.templates import compiled

BASE = "https://w3id.org/glost/profile#"
HEAD = """# {title}
# Made by tests/support/profile_maker.py; change the vocabulary or the table descriptions instead.

@prefix dcterms: <http://purl.org/dc/terms/> .
@prefix edtf: <http://id.loc.gov/datatypes/edtf/> .
@prefix glost: <https://w3id.org/glost/ontology#> .
@prefix oa: <http://www.w3.org/ns/oa#> .
@prefix profile: <https://w3id.org/glost/profile#> .
@prefix prov: <http://www.w3.org/ns/prov#> .
@prefix rdf: <http://www.w3.org/1999/02/22-rdf-syntax-ns#> .
@prefix sh: <http://www.w3.org/ns/shacl#> .
@prefix skos: <http://www.w3.org/2004/02/skos/core#> .
@prefix time: <http://www.w3.org/2006/time#> .
@prefix xsd: <http://www.w3.org/2001/XMLSchema#> .
"""
PART = r"[~?%]?-?(Y-?[0-9]+(E[0-9]+)?|[0-9X]{4})(S[0-9]+)?[~?%]?(-[~?%]?[0-9X]{2}[~?%]?){0,2}"
MOMENT = PART + r"(T[0-9]{2}:[0-9]{2}:[0-9]{2}(Z|[+-][0-9]{2}(:[0-9]{2})?)?)?"
LISTED = rf"(\.\.)?{MOMENT}((,|\.\.){MOMENT})*(\.\.)?"
WRITTEN = rf"^({MOMENT}|({MOMENT}|\.\.)?/({MOMENT}|\.\.)?|\[{LISTED}\]|\{{{LISTED}\}})$"
"""What a date in EDTF looks like (Library of Congress, 2019), without whether there is such a day."""
SAMPLES = {
    XSD.string: '"as written"', XSD.integer: "7", XSD.decimal: "7.5", XSD.boolean: "true",
    XSD.nonNegativeInteger: '"7"^^xsd:nonNegativeInteger', XSD.date: '"1908-01-01"^^xsd:date',
    EDTF: '"1908~"^^edtf:EDTF',
}  # fmt: skip
RECORD = {
    GLOST.Claim: {"prov:hadPrimarySource": (1, 1)},
    GLOST.Passage: {"dcterms:isPartOf": (1, 1), "oa:hasSource": (1, 1)},
}
"""What the record's own graph says of each, how often at least and at most."""


def short(iri: URIRef) -> str:
    """Write an IRI for Turtle."""
    for prefix, space in (("glost", GLOST), ("skos", SKOS), ("xsd", XSD), ("rdf", RDF),
                          ("time", "http://www.w3.org/2006/time#")):  # fmt: skip
        if str(iri).startswith(str(space)):
            return f"{prefix}:{str(iri).removeprefix(str(space))}"
    return "edtf:EDTF" if iri == EDTF else f"<{iri}>"


@dataclass
class Use:
    """Where a property stands: of which classes its subjects are, and what its values are."""

    subjects: set[URIRef] = field(default_factory=set)
    classes: set[URIRef] = field(default_factory=set)
    schemes: set[str] = field(default_factory=set)
    datatype: URIRef | None = None
    literal: bool = False


class Maker:
    """Gathers what the vocabulary and the tables say, and writes it as SHACL."""

    def __init__(self) -> None:
        self.words: Graph = vocabulary()
        self.own = sorted(
            c for c in self.words.subjects(RDF.type, OWL.Class)
            if isinstance(c, URIRef) and c.startswith(GLOST)
        )  # fmt: skip

    @cached_property
    def below(self) -> dict[URIRef, list[URIRef]]:
        """Each class with all under it, itself first."""
        return {
            name: [
                name,
                *sorted(
                    set(self.words.transitive_subjects(RDFS.subClassOf, name))
                    & set(self.own) - {name}
                ),
            ]
            for name in self.own
        }

    @cached_property
    def apart(self) -> dict[URIRef, list[URIRef]]:
        """Each class with the classes nothing of it can be of."""
        pairs = set(self.words.subject_objects(OWL.disjointWith))
        for axiom in self.words.subjects(RDF.type, OWL.AllDisjointClasses):
            members = list(Collection(self.words, self.words.value(axiom, OWL.members)))
            pairs |= {(a, b) for a in members for b in members if a != b}
        found: dict[URIRef, set[URIRef]] = defaultdict(set)
        for one, other in pairs | {(b, a) for a, b in pairs}:
            for narrow in self.below.get(one, ()):
                found[narrow] |= set(self.below.get(other, ()))
        return {name: sorted(others) for name, others in sorted(found.items())}

    @cached_property
    def required(self) -> dict[URIRef, list[URIRef]]:
        """Of each class, the properties that rows which name one of it cannot do without."""
        found: dict[URIRef, set[URIRef]] = defaultdict(set)
        for table in tables().values():
            kinds = self._kinds(table)
            for about, kind in kinds.items():
                naming = set(compiled(about).names)
                for column in table.real:
                    if (
                        column.required
                        and column.name in naming
                        and column.about == about
                        and column.property
                    ):
                        found[kind].add(URIRef(column.property))
        return {name: sorted(each) for name, each in found.items()}

    @staticmethod
    def _kinds(table: object) -> dict[str, URIRef]:
        return {
            column.about: URIRef(column.value)
            for column in table.columns  # type: ignore[attr-defined]
            if column.property == str(RDF.type)
        }

    @cached_property
    def uses(self) -> dict[URIRef, Use]:
        """Every property of the vocabulary that data may use."""
        found = {}
        for kind in (OWL.ObjectProperty, OWL.DatatypeProperty):
            for name in self.words.subjects(RDF.type, kind):
                former = (name, OWL.deprecated, None) in self.words
                if isinstance(name, URIRef) and name.startswith(GLOST) and not former:
                    found[name] = self._use(name, kind == OWL.DatatypeProperty)
        return dict(sorted(found.items()))

    def _use(self, name: URIRef, literal: bool) -> Use:
        use = Use(literal=literal)
        subjects = self._told_of(name, RDFS.domain, SDO.domainIncludes)
        use.subjects = subjects if subjects <= set(self.own) else set()
        values = set(self.words.objects(name, SDO.rangeIncludes))
        use.classes = values if values <= set(self.own) else set()
        for scope in self.words.objects(name, RDFS.range):
            if literal and scope != RDFS.Literal:
                use.datatype = URIRef(str(scope))
            elif scope in self.own:
                use.classes.add(URIRef(str(scope)))
        for table in tables().values():
            for column in table.giving:
                if column.property != str(name):
                    continue
                if literal and column.datatype:
                    use.datatype = URIRef(column.datatype)
                for entry in column.refers:
                    if entry.startswith("scheme/"):
                        use.schemes.add(SCHEMES + entry.removeprefix("scheme/"))
        if use.classes and use.schemes:
            use.classes = set()
        return use

    def _told_of(self, name: URIRef, *relations: URIRef) -> set[URIRef]:
        return {each for relation in relations for each in self.words.objects(name, relation)}  # type: ignore[misc]

    # -- writing ----------------------------------------------------------------------------------

    def label(self, iri: URIRef) -> str:
        """Return what a term is called."""
        return str(self.words.value(iri, RDFS.label) or iri)

    def classes_file(self) -> str:
        """Write a shape for each class."""
        return "\n".join([HEAD.format(title="What each thing of a class is, and is not"),
                          *(self._class(name) for name in self.own)])  # fmt: skip

    def _class(self, name: URIRef) -> str:
        local = name.removeprefix(GLOST)
        lines = [
            f"profile:{local} a sh:NodeShape ;",
            f"    sh:targetClass glost:{local} ;",
            "    sh:nodeKind sh:IRI ;",
            "    sh:severity sh:Violation ;",
            f'    sh:message "What is called {article(self.label(name))} is named by an IRI and is none of the kinds that nothing of it can be."@en ;',
        ]
        lines += [f"    sh:not [ sh:class {short(other)} ] ;" for other in self.apart.get(name, ())]
        for property_, least, most in self.cardinalities(name):
            upper = f" ; sh:maxCount {most}" if most else ""
            lines.append(
                f"    sh:property [ sh:path {property_} ; sh:minCount {least}{upper} ; sh:severity sh:Violation ;\n"
                f'        sh:message "{self.label(name).capitalize()}: {property_} is given {"once" if most else "at least once"}."@en ] ;'
            )
        return "\n".join(lines).removesuffix(";") + ".\n"

    def cardinalities(self, name: URIRef) -> Iterator[tuple[str, int, int | None]]:
        """Yield the properties that things of a class have, how often at least and at most."""
        for property_ in self.required.get(name, ()):
            yield short(property_), 1, None
        for written, (least, most) in RECORD.get(name, {}).items():
            yield written, least, most

    def properties_file(self) -> str:
        """Write a shape for each property: of what it is said, and what its values are."""
        return "\n".join([HEAD.format(title="Of what each property is said, and what its values are"),
                          *(self._property(name, use) for name, use in self.uses.items())])  # fmt: skip

    def _property(self, name: URIRef, use: Use) -> str:
        local = name.removeprefix(GLOST)
        whose = " or ".join(article(self.label(each)) for each in sorted(use.subjects)) or "a thing"
        lines = [f"profile:{local} a sh:NodeShape ;", f"    sh:targetSubjectsOf glost:{local} ;"]
        if use.subjects:
            allowed = sorted({n for each in use.subjects for n in self.below[each]})
            lines.append(f"    {any_of(allowed)} ;")
        lines += [
            "    sh:severity sh:Violation ;",
            f'    sh:message "{local} is said of {whose}."@en ;',
            f"    sh:property [ sh:path glost:{local} ;",
            *(f"        {each} ;" for each in self._values(use)),
            "        sh:severity sh:Violation ;",
            f'        sh:message "{local}: {self._told(use)}."@en ] .',
        ]
        return "\n".join(lines) + "\n"

    def _values(self, use: Use) -> Iterator[str]:
        if use.literal:
            yield "sh:nodeKind sh:Literal"
            if use.datatype is not None:
                yield f"sh:datatype {short(use.datatype)}"
            if use.datatype == EDTF:
                yield f"sh:pattern {json.dumps(WRITTEN)}"
            return
        yield "sh:nodeKind sh:IRI"
        if use.classes:
            yield any_of(sorted({n for each in use.classes for n in self.below[each]}))
        elif use.schemes:
            listed = sorted(
                f"<{each}>"
                for scheme in use.schemes
                for each in concepts().subjects(SKOS.inScheme, URIRef(scheme))
            )
            own = " ".join(
                f"[ sh:path skos:inScheme ; sh:hasValue <{each}> ]" for each in sorted(use.schemes)
            )
            yield f"sh:or ( [ sh:in ( {' '.join(listed)} ) ] {own} )"

    def _told(self, use: Use) -> str:
        if use.literal:
            what = {None: "a text or number", EDTF: "a date in EDTF, such as 1908, 1911~ or 192X"}
            return (
                f"values are {what.get(use.datatype, short(use.datatype) if use.datatype else '')}"
            )
        if use.classes:
            return "values are of the class " + " or ".join(
                self.label(each) for each in sorted(use.classes)
            )
        if use.schemes:
            names = " or ".join(each.removeprefix(SCHEMES) for each in sorted(use.schemes))
            return f"values are terms of the list {names}, or of that list in the collection's own table of terms"
        return "values are named by IRIs"

    # -- examples ---------------------------------------------------------------------------------

    def examples_file(self) -> str:
        """Write a graph that passes and one that fails for each shape."""
        parts = [HEAD.format(title="For each shape an example that passes and one that fails")]
        for name in self.own:
            parts += self._class_examples(name)
        for name, use in self.uses.items():
            parts += self._property_examples(name, use)
        return "\n".join(parts)

    def _class_examples(self, name: URIRef) -> Iterator[str]:
        local = name.removeprefix(GLOST)
        good, bad = f"<{BASE}{local}-passes>", f"<{BASE}{local}-fails>"
        yield graph(local, "passes", self._instance(name, good))
        other = next(iter(self.apart.get(name, ())), None)
        missing = next(iter(self.cardinalities(name)), None)
        if other is not None:
            lines = [*self._instance(name, bad), f"{bad} a {short(other)} ."]
        elif missing is not None:
            lines = [f"{bad} a {short(name)} ."]
        else:
            lines = [f"_:{local}-fails a {short(name)} ."]
        yield graph(local, "fails", lines)

    def _instance(self, name: URIRef, iri: str) -> list[str]:
        """Describe a thing of a class with all that it cannot do without."""
        lines = [f"{iri} a {short(name)} ."]
        for number, (written, _, _) in enumerate(self.cardinalities(name), 1):
            part = f"{iri[:-1]}-{number}>"
            own = URIRef(str(GLOST) + written.removeprefix("glost:"))
            if written.startswith("glost:") and own in self.uses:
                value, further = self._value(self.uses[own], part)
            else:
                value, further = part, self._instance(GLOST.Source, part)
            lines += [f"{iri} {written} {value} .", *further]
        return lines

    def _value(self, use: Use, part: str) -> tuple[str, list[str]]:
        if use.literal:
            return SAMPLES[use.datatype or XSD.string], []
        if use.classes:
            return part, self._instance(sorted(use.classes)[0], part)
        if use.schemes:
            scheme = URIRef(sorted(use.schemes)[0])
            return f"<{min(concepts().subjects(SKOS.inScheme, scheme))}>", []
        return part, []

    def _property_examples(self, name: URIRef, use: Use) -> Iterator[str]:
        local = name.removeprefix(GLOST)
        for way in ("passes", "fails"):
            iri = f"<{BASE}{local}-{way}>"
            lines = self._instance(sorted(use.subjects)[0], iri) if use.subjects else []
            value, further = self._value(use, f"{iri[:-1]}-value>")
            if way == "fails":
                value, further = self._wrong(use, f"{iri[:-1]}-value>")
            yield graph(local, way, [*lines, f"{iri} glost:{local} {value} .", *further])

    def _wrong(self, use: Use, part: str) -> tuple[str, list[str]]:
        if use.datatype == EDTF:
            return '"some day in spring"^^edtf:EDTF', []
        if use.literal:
            return (f"{part}", []) if use.datatype in (None, XSD.string) else ('"seven or so"', [])
        if use.classes:
            allowed = {n for each in use.classes for n in self.below[each]}
            other = next(n for n in (GLOST.Kiln, GLOST.Person) if n not in allowed)
            return part, [f"{part} a {short(other)} ."]
        return ('"in words"', []) if not use.schemes else (part, [])

    def files(self) -> dict[str, str]:
        """Return every file of the profile, by name."""
        return {
            "classes.ttl": self.classes_file(),
            "properties.ttl": self.properties_file(),
            "examples.trig": self.examples_file(),
        }


def article(label: str) -> str:
    """Put the indefinite article before a label."""
    return f"{'an' if label[:1].lower() in 'aeio' else 'a'} {label}"


def any_of(classes: Iterable[URIRef]) -> str:
    """Ask for a class, or for one of several."""
    names = [short(each) for each in classes]
    if len(names) == 1:
        return f"sh:class {names[0]}"
    return f"sh:or ( {' '.join(f'[ sh:class {each} ]' for each in names)} )"


def graph(local: str, way: str, lines: Iterable[str]) -> str:
    """Write the graph of an example."""
    told = "\n".join(f"    {each}" for each in lines)
    return f"<{BASE}{local}/{way}> {{\n{told}\n}}\n"


def main() -> None:
    """Write the profile."""
    place = folder("shapes_shacl") / "profile"
    for name, text in Maker().files().items():
        Path(place / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
