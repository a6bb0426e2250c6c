"""The whole collection as data, with what describes it and the rules for web servers."""

import json
from collections.abc import Iterator

import pyoxigraph as ox

from glost.answer.dataset import quads
from glost.data import concepts, folder
from glost.names import PREFIXES
from glost.publish.data.crm import crm_turtle
from glost.publish.data.described import context_file
from glost.publish.data.descriptions import ro_crate, void_and_dcat
from glost.publish.data.grounds import grounds_file
from glost.publish.data.servers import rules
from glost.publish.site.frame import Frame, fill
from glost.publish.site.holdings import Holdings
from glost.record.tables import csvw_metadata, tables
from glost.record.terms import quad
from glost.record.writing import csv_text, rows_of, trig_text


def data_files(holdings: Holdings, frame: Frame) -> Iterator[tuple[str, bytes]]:
    """Yield the files of data on the whole collection, the manifests of sources left out."""
    yield context_file()
    whole, count = _whole(holdings)
    yield from whole.items()
    yield grounds_file(holdings)
    yield "data/void.ttl", void_and_dcat(holdings, frame, whole, count)
    yield "ro-crate-metadata.json", ro_crate(holdings, frame, whole)
    yield from rules(holdings.base, holdings.addresses.exceptions)
    yield from _own_tables(holdings)
    sizes = [(file, len(content)) for file, content in sorted(whole.items())]
    yield fill("data.html", "data/index.html", frame, title="Data", section="Data",
               files=[(file, _octets(size)) for file, size in sizes],
               base=holdings.base, triples=count)  # fmt: skip


def _octets(size: int) -> str:
    return f"{size / 1e6:.1f} MB" if size >= 1e6 else f"{max(1, round(size / 1e3))} kB"


def _whole(holdings: Holdings) -> tuple[dict[str, bytes], int]:
    """Write the whole collection in each format; return how many statements it has."""
    desk = holdings.desk
    made = _labelled([quad((s, p, o), graph) for s, p, o, graph in quads(desk.contents)])
    names = {name: str(space) for name, space in PREFIXES.items()}
    trig = ox.serialize(made, format=ox.RdfFormat.TRIG, prefixes=names)
    found = {
        "data/dataset.nq": ox.serialize(made, format=ox.RdfFormat.N_QUADS) or b"",
        "data/dataset.trig": trig or b"",
        "data/crm.ttl": crm_turtle(desk),
        "data/ontology.ttl": (folder("ontology") / "glost.ttl").read_bytes(),
        "data/schemes.ttl": concepts().serialize(format="turtle", encoding="utf-8"),
    }
    rows, left = rows_of(desk.record, holdings.claims)
    for name, each in rows.items():
        found[f"data/tables/{name}.csv"] = csv_text(tables()[name], each).encode()
    metadata = json.dumps(csvw_metadata(list(rows)), indent=2, ensure_ascii=False) + "\n"
    found["data/tables/csvw-metadata.json"] = metadata.encode()
    if left:
        found["data/tables/claims.trig"] = trig_text(desk.record, left).encode()
    return dict(sorted(found.items())), len(made)


def _labelled(made: list[ox.Quad]) -> list[ox.Quad]:
    """Label blank nodes as RDFC-1.0 does, so that the same collection gives the same files."""
    named, nameless = [], ox.Dataset()
    for each in made:
        if isinstance(each.subject, ox.BlankNode) or isinstance(each.object, ox.BlankNode):
            nameless.add(each)
        else:
            named.append(each)
    nameless.canonicalize(ox.CanonicalizationAlgorithm.RDFC_1_0)
    return [*named, *sorted(nameless, key=lambda each: (str(each.graph_name), str(each)))]


def _own_tables(holdings: Holdings) -> Iterator[tuple[str, bytes]]:
    """Yield the collection's own tables, whose rows the claims say they were read from."""
    top = holdings.desk.record.collection.path
    for file in sorted({claim.origin.file for claim in holdings.claims}):
        path = top / file
        if file.startswith("tables/") and path.resolve().is_relative_to(top.resolve()):
            yield file, path.read_bytes()
