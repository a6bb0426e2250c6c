"""The whole collection as data, with what describes it and the rules for web servers."""

from collections.abc import Iterator, Set

import pyoxigraph as ox
from rdflib import URIRef

from glost.answer.dataset import Contents, Quad, quads, said_by
from glost.answer.store import liner
from glost.data import concepts, folder
from glost.names import PREFIXES
from glost.publish.data.crate import ro_crate
from glost.publish.data.crm import crm_turtle
from glost.publish.data.described import context_file
from glost.publish.data.descriptions import void_and_dcat
from glost.publish.data.facts import PublishedFile, StatementCounts
from glost.publish.data.mappings import ENDINGS, SSSOM, skos_bytes, sssom_bytes
from glost.publish.data.servers import rules
from glost.publish.editions.canonical import lines_of
from glost.publish.editions.edition import editions
from glost.publish.site.former import Former
from glost.publish.site.frame import PageFrame, fill
from glost.publish.site.holdings import SiteContents
from glost.publish.site.images import Images
from glost.publish.site.schema_org import dataset
from glost.publish.site.units import Units
from glost.record.index import whole
from glost.record.writing import csv_files, rows_of, trig_text

_LINES, _CRM = "data/dataset.nq", "data/crm.ttl"


def data_files(
    holdings: SiteContents, frame: PageFrame, images: Images, units: Units | None = None
) -> Iterator[tuple[str, bytes]]:
    """Yield the files of data on the whole collection, grounds and manifests left out.

    Parameters
    ----------
    holdings, frame, images
        What the site is made of.
    units
        Of what stands of the site as it was, to take from it what is the same; None of nothing.
    """
    yield context_file()
    files: list[PublishedFile] = []
    counts = StatementCounts()
    for file, content in _whole(holdings, counts, units):
        files.append(PublishedFile.of(file, content))
        yield file, content
    files.sort(key=lambda each: each.path)
    yield "data/void.ttl", void_and_dcat(holdings, frame, files, counts)
    pictures = [PublishedFile.of(name, each.path.read_bytes()) for name, each in images.all.items()]
    names = {name: images.by_file.get(name, name) for name in images.all}
    yield "ro-crate-metadata.json", ro_crate(holdings, frame, files, pictures, names, images.rights)
    former = Former.of(holdings)
    yield from rules(holdings.base, holdings.addresses.exceptions, former.renamed, former.withdrawn)
    yield from _own_tables(holdings)
    yield fill("data.html", "data/index.html", frame, title="Data", section="Data",
               files=[(each.path, _octets(each.octets), each.told.title) for each in files],
               editions=editions(holdings.snapshot.record.collection.path),
               base=holdings.base, triples=counts.all,
               schema=dataset(holdings, frame, files))  # fmt: skip


def _octets(size: int) -> str:
    return f"{size / 1e6:.1f} MB" if size >= 1e6 else f"{max(1, round(size / 1e3))} kB"


def _whole(
    holdings: SiteContents, counts: StatementCounts, units: Units | None
) -> Iterator[tuple[str, bytes]]:
    """Write the whole collection in each format; a file is forgotten once it is taken."""
    snapshot = holdings.snapshot
    same = frozenset[str]() if units is None else units.same
    yield _CRM, crm_turtle(holdings, units.file(_CRM) if units and same else b"", same)
    yield f"data/matches{ENDINGS['skos']}", skos_bytes(snapshot)
    yield f"data/matches{ENDINGS[SSSOM]}", sssom_bytes(snapshot)
    holdings.forget_answers()  # nothing is asked any more
    own = folder("ontology")
    parts = [(own / name).read_bytes() for name in ("glost.ttl", "tables.ttl")]
    yield "data/ontology.ttl", b"\n".join(parts)
    for path in sorted((own / "migrations").glob("*.ru")):
        yield f"data/migrations/{path.name}", path.read_bytes()
    yield "data/schemes.ttl", concepts().serialize(format="turtle", encoding="utf-8")
    for name in ("crm_paths.csv", "linked_art_paths.csv", "near_matches.sssom.tsv"):
        yield f"data/{name}", (folder("ontology") / "alignments" / name).read_bytes()
    shapes = sorted(folder("shapes_shacl").glob("*.ttl"))
    yield "data/shapes.ttl", b"\n".join(path.read_bytes() for path in shapes)
    profile = folder("shapes_shacl") / "profile"
    classes, properties = (profile / f"{each}.ttl" for each in ("classes", "properties"))
    yield "data/profile.ttl", classes.read_bytes() + b"\n" + properties.read_bytes()
    yield "data/profile-examples.trig", (profile / "examples.trig").read_bytes()
    _count(snapshot.contents, counts)
    lines = _patched(holdings, units) if units and same else None
    lines = "".join(lines_of(quads(snapshot.contents))).encode() if lines is None else lines
    yield _LINES, lines
    statements = ox.parse(lines, format=ox.RdfFormat.N_QUADS, lenient=True)
    names = {name: str(space) for name, space in PREFIXES.items()}
    trig = ox.serialize(statements, format=ox.RdfFormat.TRIG, prefixes=names)
    del lines
    yield "data/dataset.trig", trig or b""
    del trig
    rows, left = rows_of(snapshot.record, holdings.claims, None if units is None else units.rows)
    for name, text in csv_files(rows):
        yield f"data/tables/{name}", text.encode()
    if left:
        yield "data/tables/claims.trig", trig_text(snapshot.record, left).encode()


def _count(contents: Contents, counts: StatementCounts) -> None:
    """Count every statement of the dataset."""
    everything = contents.believed | contents.inferred | contents.reckoned | contents.vocabulary
    counts.properties.update(URIRef(str(verb)) for _, verb, _ in everything)
    counts.graphs[None] = len(everything)
    for name, told in (*contents.said(), *contents.named.items()):
        counts.graphs[name] = len(set(told))


def _patched(holdings: SiteContents, units: Units) -> bytes | None:
    """Write every statement as canonical N-Quads, those as they stand of which all is as it was.

    None if some are of what has no name.
    """
    same = {iri for iri in holdings.addresses.stems if units.stands("data", iri)}
    same -= holdings.about.keys() & holdings.recorded.keys()  # of which no unit looks at both
    lines = units.file(_LINES).decode().split("\n")
    every = {each for each in lines if each[1 : each.find(">")].partition("#")[0] in same}
    line = liner()
    every.update(line(quad).removesuffix("\n") for quad in _others(holdings, same))
    if any(each.startswith("_:") or "> _:" in each for each in every):
        return None
    return "".join(f"{each}\n" for each in sorted(every)).encode()


def _others(holdings: SiteContents, same: Set[str]) -> Iterator[Quad]:
    """Yield the statements of all but some things, and the vocabulary."""
    contents, belief = holdings.snapshot.contents, holdings.snapshot.belief
    names = {part: name for name, part in contents.names.items()}
    for part, some in (
        ("inferred", holdings.inferred),
        ("reckoned", holdings.reckoned),
        ("record", holdings.recorded),
        ("vocabulary", {"": contents.vocabulary}),
    ):
        for thing in some.keys() - same:
            for triple in some[thing]:
                yield (*triple, names[part])
                if part != "record":
                    yield (*triple, None)
    for thing in holdings.about.keys() - same:
        for triple in belief.index.of(thing):
            yield (*triple, None)
        for claim in holdings.about[thing]:
            for name, told in said_by(claim, contents.parts):
                yield from ((*each, name) for each in told if whole(each[0]) == thing)


def _own_tables(holdings: SiteContents) -> Iterator[tuple[str, bytes]]:
    """Yield the collection's own tables, whose rows the claims say they were read from."""
    top = holdings.snapshot.record.collection.path
    for file in sorted({claim.origin.file for claim in holdings.claims}):
        path = top / file
        if file.startswith("tables/") and path.resolve().is_relative_to(top.resolve()):
            yield file, path.read_bytes()
