"""What the service says: the manifest, candidates, suggestions, values."""

from collections.abc import Iterable, Mapping, Sequence
from itertools import islice

from glost.publish.endpoint.reconciling.candidates import MeantThing
from glost.publish.endpoint.reconciling.limits import BATCH, CANDIDATES
from glost.publish.endpoint.reconciling.reading import Extension
from glost.publish.endpoint.reconciling.things import Named, PublishedThings

VERSIONS = ("0.2",)
WIDTH, HEIGHT = 400, 160
"""The size of a preview, in pixels."""

Json = dict[str, object]


def manifest(things: PublishedThings, title: str, address: str) -> Json:
    """Describe the service (section 3.1).

    Parameters
    ----------
    things
        What can be reconciled to.
    title
        The collection's title.
    address
        Where the service is.
    """
    suggest = {
        name: {"service_url": address, "service_path": f"/suggest/{name}"}
        for name in ("entity", "property", "type")
    }
    return {
        "versions": list(VERSIONS),
        "name": title,
        "identifierSpace": things.base,
        "schemaSpace": "https://w3id.org/glost/ontology#",
        "documentation": things.base,
        "defaultTypes": [_type(each) for each in things.types.values()],
        "view": {"url": f"{address}/view?id={{{{id}}}}"},
        "preview": {
            "url": f"{address}/preview?id={{{{id}}}}", "width": WIDTH, "height": HEIGHT,
        },
        "suggest": suggest,
        "extend": {
            "propose_properties": {"service_url": address, "service_path": "/properties"},
            "property_settings": [],
        },
        "batchSize": BATCH,
    }  # fmt: skip


def results(things: PublishedThings, found: Mapping[str, Sequence[MeantThing]]) -> Json:
    """Tell the candidates of each query of a batch (section 4.2)."""
    return {
        key: {"result": [_candidate(things, each) for each in candidates]}
        for key, candidates in found.items()
    }


def _candidate(things: PublishedThings, candidate: MeantThing) -> Json:
    return {
        "id": things.id(candidate.iri),
        "name": things.name(candidate.iri),
        "description": things.description(candidate.iri),
        "type": [_type(things.types[things.type_of[candidate.iri]])],
        "score": round(100 * candidate.probability, 2),
        "match": candidate.certain,
        "features": [{"id": name, "value": round(b, 2)} for name, b in candidate.bits.items()],
    }


def entities(things: PublishedThings, prefix: str, skipped: int) -> Json:
    """Suggest things by the beginning of a name or id (section 6.3)."""
    found = islice(things.beginning(prefix), skipped, skipped + CANDIDATES)
    return {
        "result": [
            {
                "id": things.id(iri),
                "name": things.name(iri),
                "description": things.description(iri),
                "notable": [_type(things.types[things.type_of[iri]])],
            }
            for iri in found
        ]
    }


def terms(known: Iterable[Named], prefix: str, skipped: int) -> Json:
    """Suggest types or properties by the beginning of a word of their names, or of their ids."""
    start = prefix.strip().casefold()
    fitting = [
        each
        for each in sorted(known, key=lambda each: (each.name, each.id))
        if start in (each.id.casefold(), each.iri.casefold())
        or any(f" {text.casefold()}".find(f" {start}") >= 0 for text in (each.name, each.id))
    ]
    return {"result": [_type(each) for each in fitting[skipped : skipped + CANDIDATES]]}


def proposals(things: PublishedThings, type_: str, limit: int | None) -> Json:
    """Propose properties of a type (section 7.3)."""
    iri = next((each.iri for each in things.types.values() if type_ in (each.id, each.iri)), "")
    found = [_type(each) for each in things.properties_of(iri)][:limit]
    made: Json = {"properties": found, "type": type_}
    return made if limit is None else {**made, "limit": limit}


def extended(things: PublishedThings, asked: Extension) -> Json:
    """Tell the values of properties (section 7.5); of what is not known there are none."""
    meta = [
        {"id": name, "name": things.properties[iri].name if iri else name}
        for name, iri in asked.properties
    ]
    rows: dict[str, Json] = {}
    for id_ in asked.ids:
        thing = things.thing(id_)
        rows[id_] = {
            name: things.values(thing, iri) if thing and iri else []
            for name, iri in asked.properties
        }
    return {"meta": meta, "rows": rows}


def _type(named: Named) -> Json:
    told: Json = {"id": named.id, "name": named.name}
    return {**told, "description": named.description} if named.description else told
