"""Matches to authorities as others take them over: SKOS, and SSSOM as tab-separated values.

SSSOM is the Simple Standard for Sharing Ontological Mappings, version 1.0
(https://w3id.org/sssom/spec). The close matches of the published concept schemes go along.
"""

import csv
import io
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from importlib.resources import files

from rdflib import Graph, Literal, URIRef
from rdflib.namespace import SKOS

from glost.answer.snapshot import Snapshot
from glost.data import concepts
from glost.names import GLOST, SCHEMES, bind
from glost.record.claims import Claim
from glost.trade.linking.matches import AuthorityMatch, matches_in
from glost.words.labels import label

SSSOM = "sssom"
"""SSSOM with the metadata in the same file, as its lines of comment."""

ENDINGS = {"skos": ".skos.ttl", SSSOM: ".sssom.tsv"}
"""The usual ending of a file of each form."""

_CURATED, _UNSPECIFIED = "semapv:ManualMappingCuration", "semapv:UnspecifiedMatching"
_UNLICENSED = "https://w3id.org/sssom/license/unspecified"
_BUILT_IN = {"semapv": "https://w3id.org/semapv/vocab/", "skos": str(SKOS)}
_COLUMNS = (
    "subject_id", "subject_label", "predicate_id", "predicate_modifier", "object_id",
    "object_label", "mapping_justification", "author_label", "mapping_date", "see_also", "other",
    "comment",
)  # fmt: skip
_OF_SCHEMES = "From published mapping sheets; to be looked up once more before it is relied on."


def skos_bytes(snapshot: Snapshot) -> bytes:
    """Write matches in the mapping relations of SKOS, as Turtle; what is denied is left out.

    Parameters
    ----------
    snapshot
        The collection.
    """
    graph = bind(Graph(bind_namespaces="none"))
    for prefix, namespace in _authorities().items():
        graph.bind(prefix, namespace)
    for each in matches_in(snapshot.belief):
        if not each.relation.denied:
            graph.add(each.mapping)
            graph.add((each.thing, SKOS.prefLabel, Literal(label(each.thing, snapshot.words))))
    for subject, listed in concepts().subject_objects(SKOS.closeMatch):
        graph.add((subject, SKOS.closeMatch, listed))
        graph.add((subject, SKOS.prefLabel, _name(subject)))
    return graph.serialize(format="turtle", encoding="utf-8")


def sssom_bytes(snapshot: Snapshot) -> bytes:
    """Write matches as SSSOM: metadata as lines of comment, then a row for each claim.

    Parameters
    ----------
    snapshot
        The collection. A row tells the claim (``see_also``), who recorded it and when, its
        certainty and its evidence; a match that is denied has ``Not`` for ``predicate_modifier``.
    """
    rows = [*_own_rows(snapshot), *_scheme_rows()]
    names = _prefixes(snapshot, [iri for row in rows for iri in (row[0], row[4])])
    out = io.StringIO()
    for line in _metadata(snapshot, names):
        out.write(f"# {line}\n")
    written = csv.writer(out, delimiter="\t", lineterminator="\n")
    written.writerow(_COLUMNS)
    written.writerows(sorted([_curie(r[0], names), *r[1:4], _curie(r[4], names), *r[5:]]
                             for r in rows))  # fmt: skip
    return out.getvalue().encode()


def _own_rows(snapshot: Snapshot) -> Iterator[Sequence[str]]:
    for match in matches_in(snapshot.belief):
        for claim in match.claims:
            yield _row(snapshot, match, claim)


def _row(snapshot: Snapshot, match: AuthorityMatch, claim: Claim) -> Sequence[str]:
    def said(property_: URIRef) -> str:
        return " ".join(str(o) for _, p, o in claim.statements if p == property_)

    certainty = str(claim.certainty).rsplit("/", 1)[-1] if claim.certainty else ""
    return (
        str(match.thing), _line(label(match.thing, snapshot.words)),
        f"skos:{match.relation.predicate.removeprefix(str(SKOS))}",
        "Not" if match.relation.denied else "", str(match.listed),
        _line(said(GLOST.nameInAuthority)), _CURATED, _line(claim.recorded_by), claim.recorded_on,
        str(claim.iri), f"certainty: {certainty}" if certainty else "",
        _line(said(GLOST.linkEvidence)),
    )  # fmt: skip


def _scheme_rows() -> Iterator[Sequence[str]]:
    for subject, listed in concepts().subject_objects(SKOS.closeMatch):
        yield (
            str(subject), str(_name(subject)), "skos:closeMatch", "", str(listed), "",
            _UNSPECIFIED, "", "", str(subject), "", _OF_SCHEMES,
        )  # fmt: skip


def _name(concept: object) -> Literal:
    names = concepts().objects(URIRef(str(concept)), SKOS.prefLabel)
    return Literal(str(min(names, key=str)))


def _line(text: str) -> str:
    return " ".join(text.split())


def _metadata(snapshot: Snapshot, names: Mapping[str, str]) -> Iterator[str]:
    """Yield the metadata of the set as YAML, in which a text in JSON is a text."""
    collection = snapshot.collection
    yield "curie_map:"
    for prefix, namespace in sorted(names.items()):
        yield f"  {prefix}: {json.dumps(namespace)}"
    told = {
        "license": collection.licence or _UNLICENSED,
        "mapping_set_description": "What things are in thesauri and files of names that others "
        "keep; each row is a claim.",
        "mapping_set_id": f"{collection.base}data/matches{ENDINGS[SSSOM]}",
        "mapping_set_title": f"{collection.title}: matches to authorities",
    }
    for slot, text in told.items():
        yield f"{slot}: {json.dumps(text, ensure_ascii=False)}"


def _prefixes(snapshot: Snapshot, iris: Sequence[str]) -> dict[str, str]:
    """Return a prefix for every namespace that is used; authorities not known are numbered."""
    known = {**_BUILT_IN, "glost": SCHEMES, "here": snapshot.collection.base, **_authorities()}
    used = {name: space for name, space in known.items() if name in _BUILT_IN}
    for iri in sorted(set(iris)):
        name = _of(iri, known)
        if name is None:
            name = f"ns{sum(each.startswith('ns') for each in known) + 1}"
            known[name] = _namespace(iri)
        used[name] = known[name]
    return used


def _of(iri: str, names: Mapping[str, str]) -> str | None:
    """Return the prefix of the longest namespace that begins an IRI."""
    fitting = [name for name, space in names.items() if iri.startswith(space)]
    return max(fitting, key=lambda name: len(names[name]), default=None)


def _namespace(iri: str) -> str:
    found = re.fullmatch(r"(.*[/#])[^/#]+[/#]?", iri)
    return found[1] if found else iri


def _curie(iri: str, names: Mapping[str, str]) -> str:
    name = _of(iri, names)
    assert name is not None
    return f"{name}:{iri.removeprefix(names[name])}"


def _authorities() -> dict[str, str]:
    text = files("glost.trade.linking").joinpath("authorities.csv").read_text(encoding="utf-8")
    return {row["prefix"]: row["namespace"] for row in csv.DictReader(text.splitlines())}
