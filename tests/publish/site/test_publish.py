"""A small collection, hostile in places, made into a site."""

import csv
import hashlib
import json
import re
import shutil
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urldefrag
from xml.etree import ElementTree

import iiif_prezi3
import pyoxigraph as ox
import pytest
from markupsafe import escape
from pyld import jsonld
from rdflib import Dataset, Graph, URIRef
from rdflib.namespace import DCAT, DCTERMS, OWL, RDF, RDFS, SDO, SKOS, VOID

import shelf
from glost.answer.questions import catalogue
from glost.answer.snapshot import Snapshot
from glost.data import concepts, vocabulary
from glost.names import GLOST
from glost.publish.site.publish import publish
from glost.publish.site.vocabulary_map import boxes, links
from glost.reason.compiler import vocabulary_rules
from glost.record.errors import RecordErrors
from glost.record.record import read

NOT_LOADED = ("alternate", "cite-as", "describedby", "license", "type")
"""What links may lead to that no browser fetches by itself."""
SCRIPT = "<script>alert('x')</script>"
HOSTILE = """
@prefix glost: <https://w3id.org/glost/ontology#> .
@prefix prov: <http://www.w3.org/ns/prov#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix dcterms: <http://purl.org/dc/terms/> .
@base <https://example.org/shelf/> .
<claim/evil> a glost:Claim ; prov:hadPrimarySource <source/letter> ; glost:locator "\\"><img src=x>" .
<claim/evil> {
  <shape/..%2F..%2Fetc%2Fpasswd> a glost:Shape ; rdfs:label "</title><script>alert('x')</script>" ;
    dcterms:description "javascript:alert(1) <b onmouseover=alert(1)>" ;
    rdfs:seeAlso <javascript:alert(1)> .
}
"""


def forget_vocabulary() -> None:
    """Let the vocabulary be read again, its blank nodes under other labels, as in a new process."""
    vocabulary.cache_clear()
    concepts.cache_clear()
    vocabulary_rules.cache_clear()


def page_image(path: Path) -> None:
    from PIL import Image

    path.parent.mkdir()
    Image.new("RGB", (400, 300), "white").save(path)


@pytest.fixture(scope="module")
def collection(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = shelf.write(
        tmp_path_factory.mktemp("made") / "shelf",
        sources="source,title,kind,date,complete,image\n"
        "cat1908,Catalogue No. 4,catalogue,1908,yes,p3.png\n"
        "cat1911,Catalogue No. 5,catalogue,1911,no,\n"
        f"letter,{SCRIPT},letter,1912-03,,\n",
        shapes="shape,pottery,name,begin,end,source,locator,region,certainty\n"
        'alder,harrow,Alder,1908,,cat1908,p. 3,"xywh=10,20,100,50",certain\n'
        "alder,harrow,Alder,1911,,letter,,,\n"
        "birch,harrow,Birch,1911,1920?,cat1911,p. 2,,probable\n",
        corrections="withdraws,replaced_by,reason,source,locator,recorded_on\n"
        "b7-as-printed,,Misread.,letter,second page,2026-01-02\n",
    )
    page_image(folder / "images" / "p3.png")
    (folder / "hostile.trig").write_text(HOSTILE, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def site(collection: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("site") / "public"
    publish(Snapshot(collection), folder)
    return folder


class Page(HTMLParser):
    """A page's links and elements."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.links: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.ids: list[str] = []
        self.feed(path.read_text(encoding="utf-8"))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        self.elements.append((tag, told))
        self.links += [v for name in ("href", "src") if (v := told.get(name))]
        self.ids += [v] if (v := told.get("id")) else []


@pytest.fixture(scope="module")
def pages(site: Path) -> dict[Path, Page]:
    found = {path: Page(path) for path in sorted(site.rglob("*.html"))}
    del found[site / "404.html"]  # which servers show at any address
    assert len(found) > 250
    return found


def test_the_page_for_what_is_not_there_may_stand_at_any_address(site: Path) -> None:
    """Its links lead from the top of the server, to where the base IRI says the site stands."""
    page = Page(site / "404.html")
    inner = [link for link in page.links if not link.startswith(("http", "#"))]
    assert inner and all(link.startswith("/shelf/") for link in inner)
    for link in inner:
        assert (site / link.removeprefix("/shelf/").partition("#")[0]).is_file()


def test_every_link_within_the_site_leads_somewhere(site: Path, pages: dict[Path, Page]) -> None:
    checked = 0
    for path, page in pages.items():
        for link in page.links:
            if link.startswith(("http://", "https://")):
                continue
            file, fragment = urldefrag(link)
            target = (path.parent / unquote(file)).resolve() if file else path.resolve()
            assert target.is_relative_to(site.resolve()), (path, link)
            assert target.is_file(), (path, link)
            if fragment and target.suffix == ".html":
                assert unquote(fragment) in pages[target].ids, (path, link)
            checked += 1
    assert checked > 3000


def test_nothing_is_loaded_from_elsewhere_and_nothing_hostile_runs(pages: dict[Path, Page]) -> None:
    for path, page in pages.items():
        assert not any(
            link.lower().startswith(("javascript:", "data:", "//")) for link in page.links
        )
        for tag, told in page.elements:
            assert not any(name.startswith("on") or name == "style" for name in told), path
            if (
                tag in ("script", "img", "iframe", "image", "link")
                and told.get("rel") not in NOT_LOADED
            ):
                assert not str(told.get("src") or told.get("href")).startswith("http"), path
            if tag == "script":
                assert told.get("src") or told.get("type") == "application/ld+json", path
        assert len(set(page.ids)) == len(page.ids), path


def test_scripts_in_names_are_words_only(site: Path) -> None:
    held = (site / "source" / "letter.html").read_text(encoding="utf-8")
    assert SCRIPT not in held
    assert "&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;" in held
    data = re.findall(r'<script type="application/ld\+json">(.*?)</script>', held, re.DOTALL)
    assert json.loads(data[0])["name"] == SCRIPT


def test_an_identifier_that_would_leave_the_folder_stands_under_other(site: Path) -> None:
    marker = json.loads((site / "glost-site.json").read_text(encoding="utf-8"))
    iri = "https://example.org/shelf/shape/..%2F..%2Fetc%2Fpasswd"
    assert list(marker["exceptions"]) == [iri]
    page = (site / f"{marker['exceptions'][iri]}.html").read_text(encoding="utf-8")
    assert "&lt;b onmouseover=alert(1)&gt;" in page


def test_a_statement_leads_to_its_source_and_says_how_it_stands_where_that_is_not_usual(
    site: Path,
) -> None:
    """The catalogue of 1908 (certain) has Alder begin in 1908, the letter in 1911."""
    text = (site / "shape" / "alder.html").read_text(encoding="utf-8")
    began = text.partition("<dt>Began</dt>")[2].partition("</div>")[0]
    listed = re.findall(r"<li>(.*?)</li>", began.partition('<details class="reason">')[0])
    (catalogue,) = [
        each for each in listed if "1908" in re.sub("<[^>]+>", "", each).split(": ")[-1]
    ]
    (letter,) = [each for each in listed if "1911" in each]
    assert [("st disputed" in each) for each in (catalogue, letter)].count(True) >= 1
    number = re.findall(r'href="#n([0-9]+)"', catalogue)[0]
    note = text.partition(f'<li id="n{number}">')[2].partition("</li>\n<li")[0]
    assert "../source/cat1908.html" in note and ", p. 3" in note
    assert "certain" in note and "../claim/" in note and "tables/shapes.csv row 2" in note
    withdrawn = (site / "treatment" / "b7.html").read_text(encoding="utf-8")
    assert '<span class="st withdrawn">withdrawn</span>' in withdrawn
    assert '<span class="st current">' not in text + withdrawn
    follows = (site / "treatment" / "a12.html").read_text(encoding="utf-8")
    inferred = follows.partition('id="follows"')[2].partition("</section>")[0]
    assert '<details class="reason"><summary>How we know</summary>' in inferred
    assert "#prp-spo2" in follows and "rule prp-spo2 of OWL 2 RL" in follows


def test_the_cited_region_is_outlined(site: Path) -> None:
    claim = next(
        path
        for path in (site / "claim").glob("*.html")
        if 'class="cited" x="10.0" y="20.0" width="100.0" height="50.0"' in path.read_text("utf-8")
    )
    assert 'viewBox="0 0 400 300"' in claim.read_text(encoding="utf-8")


def test_the_three_formats_of_a_thing_say_the_same(site: Path) -> None:
    def loaded(form: ox.RdfFormat, content: bytes) -> ox.Dataset:
        dataset = ox.Dataset(ox.parse(content, format=form))
        dataset.canonicalize(ox.CanonicalizationAlgorithm.UNSTABLE)
        return dataset

    context = json.loads((site / "data" / "context.jsonld").read_text(encoding="utf-8"))
    compared = 0
    for path in sorted(site.glob("shape/*.jsonld")) + sorted(site.glob("claim/*.jsonld"))[:9]:
        document = json.loads(path.read_text(encoding="utf-8"))
        assert document["@context"] == "../data/context.jsonld"
        document["@context"] = context["@context"]
        text = jsonld.to_rdf(document, {"format": "application/n-quads"})
        quads = loaded(ox.RdfFormat.N_QUADS, path.with_suffix(".nq").read_bytes())
        assert loaded(ox.RdfFormat.N_QUADS, text.encode()) == quads
        turtle = {
            q.triple
            for q in ox.parse(path.with_suffix(".ttl").read_bytes(), format=ox.RdfFormat.TURTLE)
        }
        assert turtle == {q.triple for q in quads if isinstance(q.graph_name, ox.DefaultGraph)}
        compared += len(quads)
    assert compared > 100


def test_the_whole_collection_is_there_in_two_formats_and_described(site: Path) -> None:
    quads = Dataset().parse(site / "data" / "dataset.nq", format="nquads")
    assert len(quads) == len(Dataset().parse(site / "data" / "dataset.trig", format="trig"))
    described = Graph().parse(site / "data" / "void.ttl", format="turtle")
    dataset = URIRef("https://example.org/shelf/data/dataset")
    lines = (site / "data" / "dataset.nq").read_bytes().count(b"\n")
    assert int(str(described.value(dataset, VOID.triples))) == lines
    places = list(described.objects(dataset, DCAT.distribution))
    assert len(places) > 8
    for place in places:
        file = site / str(described.value(place, DCAT.downloadURL)).removeprefix(
            "https://example.org/shelf/"
        )
        assert int(str(described.value(place, DCAT.byteSize))) == file.stat().st_size


def test_pages_tell_search_engines_what_they_are_about(site: Path) -> None:
    """schema.org's terms, read as JSON-LD 1.1 by pyld without a context from elsewhere."""
    for page, kind, name in (("shape/alder", "ProductGroup", "Alder"), ("piece/p1", "", "")):
        text = (site / f"{page}.html").read_text(encoding="utf-8")
        (script,) = re.findall(r'<script type="application/ld\+json">(.*?)</script>', text)
        (told,) = jsonld.expand(json.loads(script))
        assert told["@id"] == f"https://example.org/shelf/{page}"
        assert told["@type"] == [f"https://schema.org/{kind or 'IndividualProduct'}"]
        (found,) = told["https://schema.org/name"]
        assert found["@value"] == name or not name
        (within,) = told["https://schema.org/subjectOf"]
        assert within["@id"] == "https://example.org/shelf/"
    for page in ("index", "data/index"):
        text = (site / f"{page}.html").read_text(encoding="utf-8")
        (script,) = re.findall(r'<script type="application/ld\+json">(.*?)</script>', text)
        assert json.loads(script)["@type"] == "Dataset"


def test_the_schemes_are_skos_and_the_tables_read_back_as_the_same_claims(
    collection: Path, site: Path, tmp_path: Path
) -> None:
    schemes = Graph().parse(site / "data" / "schemes.ttl", format="turtle")
    assert len(set(schemes.subjects(RDF.type, SKOS.ConceptScheme))) >= 12
    for concept in schemes.subjects(RDF.type, SKOS.Concept):
        assert schemes.value(concept, SKOS.prefLabel), concept
        assert schemes.value(concept, SKOS.inScheme), concept
    again = tmp_path / "again"
    shutil.copytree(site / "data" / "tables", again / "tables")
    shutil.copytree(collection / "images", again / "images")
    shutil.copy(collection / "collection.toml", again)
    (again / "tables" / "claims.trig").rename(again / "claims.trig")
    first, second = (
        {claim.iri: set(claim.statements) for claim in read(folder).claims}
        for folder in (collection, again)
    )
    assert first == second


def test_cidoc_crm_has_the_piece_made_and_its_claim(site: Path) -> None:
    graph = Graph().parse(site / "data" / "crm.ttl", format="turtle")
    crm = "http://www.cidoc-crm.org/cidoc-crm/"
    piece = URIRef("https://example.org/shelf/piece/p1")
    assert (piece, RDF.type, URIRef(crm + "E22_Human-Made_Object")) in graph
    made = graph.value(piece, URIRef(crm + "P108i_was_produced_by"))
    assert (made, RDF.type, URIRef(crm + "E12_Production")) in graph
    assert set(graph.subjects(RDF.type, URIRef(crm + "E13_Attribute_Assignment")))
    for each, making in graph.subject_objects(URIRef(crm + "P108i_was_produced_by")):
        spans = set(graph.objects(making, URIRef(crm + "P4_has_time-span")))
        assert spans <= {URIRef(f"{each}#production-time")}, "a making has no date but its own"


def test_the_crate_says_what_ro_crate_1_2_asks(site: Path) -> None:
    crate = json.loads((site / "ro-crate-metadata.json").read_text(encoding="utf-8"))
    by_id = {each["@id"]: each for each in crate["@graph"]}
    assert by_id["ro-crate-metadata.json"]["conformsTo"] == {"@id": "https://w3id.org/ro/crate/1.2"}
    for name in ("name", "description", "datePublished", "license"):
        assert by_id["./"][name]
    for part in by_id["./"]["hasPart"]:
        content = (site / part["@id"]).read_bytes()
        assert len(content) == int(by_id[part["@id"]]["contentSize"])
        assert hashlib.sha256(content).hexdigest() == by_id[part["@id"]]["sha256"]
    named = {part["@id"] for part in by_id["./"]["hasPart"]}
    assert {"images/p3.png", "data/shapes.ttl", "data/dataset.nq"} <= named


def test_a_manifest_is_read_by_another_library_with_the_claims_on_their_regions(site: Path) -> None:
    text = (site / "iiif" / "source" / "cat1908" / "manifest.json").read_text(encoding="utf-8")
    manifest = iiif_prezi3.Manifest.model_validate_json(text)
    canvas = manifest.items[0]
    assert (canvas.width, canvas.height) == (400, 300)
    notes = canvas.annotations[0].items
    targets = [note.target if isinstance(note.target, str) else note.target.root for note in notes]
    assert [str(each).rpartition("#")[2] for each in targets] == ["xywh=10,20,100,50"]
    assert "Alder began in 1908" in text


def test_writing_again_changes_nothing_and_one_row_only_what_speaks_of_it(
    collection: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "public"
    before = publish(Snapshot(collection), folder)
    assert publish(Snapshot(collection), folder).written == ()
    forget_vocabulary()
    assert publish(Snapshot(collection), folder).written == ()
    table = collection / "tables" / "pieces.csv"
    text = table.read_text(encoding="utf-8")
    try:
        table.write_text(text.replace("stacking marks", "stilt marks"), encoding="utf-8")
        done = publish(Snapshot(collection), folder)
        assert "piece/p1.html" in done.written
        assert "shape/birch.html" not in done.written
        assert len(done.written) < before.files / 5
        assert done.removed and all(not (folder / file).exists() for file in done.removed)
    finally:
        table.write_text(text, encoding="utf-8")


def test_the_list_of_files_is_true(site: Path) -> None:
    lines = (site / "manifest-sha256.txt").read_text(encoding="utf-8").splitlines()
    listed = dict(reversed(line.split("  ", 1)) for line in lines)  # type: ignore[misc]
    there = {p.relative_to(site).as_posix() for p in site.rglob("*") if p.is_file()}
    assert there == {*listed, "manifest-sha256.txt"}
    for file, digest in listed.items():
        assert hashlib.sha256((site / file).read_bytes()).hexdigest() == digest


def test_a_folder_that_holds_something_else_is_left_alone(collection: Path, tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(RecordErrors, match="not empty and holds no site"):
        publish(Snapshot(collection), tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == ["mine.txt"]


def test_a_failure_leaves_the_old_site_and_nothing_beside_it(
    collection: Path, tmp_path: Path
) -> None:
    from glost.publish.site.folder import write_site

    folder = tmp_path / "public"
    base = "https://example.org/shelf/"
    marker = ("glost-site.json", json.dumps({"base": base}).encode())
    write_site(folder, base, [marker, ("a.html", b"old")])

    def failing():  # type: ignore[no-untyped-def]
        yield marker
        yield "a.html", b"new"
        raise OSError("no room")

    with pytest.raises(OSError, match="no room"):
        write_site(folder, base, failing())
    assert (folder / "a.html").read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["public"]
    for file in ("../x", "/etc/x", "a/../../x", "manifest-sha256.txt", ""):
        with pytest.raises(ValueError, match="no path of the site"):
            write_site(folder, base, [marker, (file, b"")])


def test_a_new_site_appears_whole_and_no_file_comes_twice(tmp_path: Path) -> None:
    from glost.publish.site.folder import write_site

    folder, base = tmp_path / "public", "https://example.org/shelf/"
    marker = ("glost-site.json", json.dumps({"base": base}).encode())

    def looking():  # type: ignore[no-untyped-def]
        yield marker
        yield "shape/a.html", b"a"
        assert not folder.exists()

    write_site(folder, base, looking())
    assert (folder / "shape" / "a.html").read_bytes() == b"a"
    assert folder.stat().st_mode == tmp_path.joinpath("public", "shape").stat().st_mode
    for there, content in (("new", b"b"), ("public", b"a")):
        twice = [marker, ("shape/a.html", content), ("shape/a.html", content)]
        with pytest.raises(ValueError, match=r"'shape/a.html' is no path of the site for two"):
            write_site(tmp_path / there, base, twice)
    assert [p.name for p in tmp_path.iterdir()] == ["public"]


def test_no_page_is_long(pages: dict[Path, Page]) -> None:
    assert max(path.stat().st_size for path in pages) < 60_000


def test_a_thing_in_very_many_contradictions_has_a_short_page(tmp_path: Path) -> None:
    years = range(1930, 1990)
    folder = shelf.write(
        tmp_path / "shelf",
        sources=shelf.TABLES["sources"]
        + "".join(f"list{year},List of {year},price list,{year},no\n" for year in years),
        assortments="catalogue,shape,form,locator\n"
        + "".join(f"list{year},alder,teapot,p. 1\n" for year in years),
        shapes=shelf.TABLES["shapes"].replace("1908,,", "1908,1911,"),
    )
    publish(Snapshot(folder), tmp_path / "public")
    page = (tmp_path / "public" / "shape" / "alder.html").read_text(encoding="utf-8")
    assert re.search(r"[0-9]+ more statements of the same sort", page)
    sizes = [path.stat().st_size for path in (tmp_path / "public").rglob("alder*.html")]
    assert max(sizes) < 80_000  # sixty lists offer it: what is said of a thing is never paged


def test_pictures_stand_on_lists_and_things_with_the_same_in_words(
    site: Path, pages: dict[Path, Page]
) -> None:
    drawn = sorted((site / "pictures").glob("*.svg"))
    assert {"runs-shapes.svg", "production-of-pottery-harrow.svg"} <= {each.name for each in drawn}
    for path in drawn:
        assert ElementTree.parse(path).getroot().tag == "{http://www.w3.org/2000/svg}svg"
    on_list = pages[site / "shape" / "index.html"]
    alts = [told["alt"] or "" for tag, told in on_list.elements if tag == "img"]
    assert any(alt.startswith("Shapes") for alt in alts)
    words = pages[site / "pictures" / "runs-shapes.html"]
    assert any(link.startswith("../claim/") for link in words.links)
    assert "../shape/alder.html" in words.links
    assert "shape/alder.html" in pages[site / "index.html"].links
    gallery = pages[site / "pictures" / "index.html"].links
    one_page_each = {path.stem.rstrip("-123456789") for path in drawn}
    assert {f"../pictures/{name}.html" for name in one_page_each} <= set(gallery)
    shown = [link for link in pages[site / "pottery" / "harrow.html"].links if "pictures/" in link]
    assert shown


def test_a_long_basis_is_cut_on_the_page_and_whole_as_csv(
    collection: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("glost.publish.site.drawings._NAMED", 1)
    publish(Snapshot(collection), tmp_path / "cut")
    place = tmp_path / "cut" / "pictures"
    with (place / "production.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    named = [len(row["claims"].split()) for row in rows]
    assert max(named) > 1
    text = (place / "production.html").read_text(encoding="utf-8")
    table = text[text.index("<tbody>") : text.index("</tbody>")]
    cut = [re.findall(r"(?:and ([0-9]+) more)?</td></tr>", row) for row in table.split("<tr>")[1:]]
    assert [int(found[0] or 0) for found in cut] == [max(0, many - 1) for many in named]
    assert 'href="../pictures/production.csv"' in text


def test_a_date_unfolds_into_its_argument(site: Path) -> None:
    """Birch is offered in a list of 1911, so it had begun; the page names that list's claim."""
    text = (site / "shape" / "birch.html").read_text(encoding="utf-8")
    dates = text.partition('id="dates"')[2].partition("</section>")[0]
    assert "How we know" in dates and "1911" in dates
    assert "not after" not in dates and "notAfter" not in dates
    numbers = re.findall(r'href="#n([0-9]+)"', dates)
    notes = text.partition('id="notes"')[2]
    assert any("../claim/" in notes.partition(f'<li id="n{n}">')[2][:900] for n in numbers)


def test_names_are_called_names(site: Path) -> None:
    text = (site / "shape" / "alder.html").read_text(encoding="utf-8")
    said = text[text.index('id="said"') :]
    assert ">Name</a>" in said
    assert ">label</a>" not in said


def test_an_answer_on_the_site_says_what_it_was_asked_about(site: Path) -> None:
    text = " ".join((site / "questions" / "in-production" / "1915.html").read_text("utf-8").split())
    assert "Asked about year: 1915; pottery: any." in text
    csv = (site / "questions" / "in-production" / "1915.csv").read_text("utf-8")
    assert "\n# year: 1915\n# pottery: any\n" in csv


def test_a_question_asked_of_a_thing_has_a_page_for_each_that_answers(
    site: Path, pages: dict[Path, Page]
) -> None:
    """Of every choice listed there is a page, whose rows are those of the table beside it."""
    asked = pages[site / "questions" / "in-production.html"]
    years = [link for link in asked.links if "in-production/" in link]
    assert "../questions/in-production/1915.html" in years and len(years) > 20
    for page in (site / "questions").rglob("*.html"):
        table = page.with_suffix(".csv")
        if not table.is_file():
            continue
        lines = [
            line for line in table.read_text("utf-8").splitlines() if not line.startswith("# ")
        ]
        rows = len(list(csv.reader(lines))) - 1
        text = page.read_text("utf-8")
        there = more_of(site, page, text)
        assert sum(each.count("</td></tr>") for each in there) == rows, page


def more_of(site: Path, page: Path, text: str) -> list[str]:
    """Return the texts of all pages of an answer."""
    pages = re.search(r'<nav class="pages".*?</nav>', text, re.DOTALL)
    links = re.findall(r'href="([^"]+)"', pages[0]) if pages else []
    return [text, *((page.parent / link).read_text("utf-8") for link in links)]


def test_questions_are_grouped_and_say_why_they_are_asked(site: Path) -> None:
    text = (site / "questions" / "index.html").read_text("utf-8")
    headings = re.findall(r"<h2>(.*?)</h2>", text)
    assert len(headings) >= 8 and headings == sorted(headings)
    for question in catalogue().values():
        assert f'href="../questions/{question.name}.html">{escape(question.text)}</a>' in text
        assert str(escape(question.header.why)) in text


def test_the_vocabulary_stands_under_topics_with_a_map(site: Path, pages: dict[Path, Page]) -> None:
    """Each class and former name on the index, each property on the page of its topic."""
    index = site / "vocabulary" / "index.html"
    words = vocabulary()
    own = {t for t in words.subjects(RDFS.isDefinedBy) if str(t).startswith(GLOST)}
    for term in own:
        topic = words.value(term, DCTERMS.subject)
        where = [index] if topic is None or (term, RDF.type, OWL.Class) in words else []
        if topic is not None:
            where.append(site / "vocabulary" / "topics" / f"{str(topic).rpartition('/')[2]}.html")
        name = str(term).removeprefix(GLOST)
        page = f"{'classes' if name[:1].isupper() else 'properties'}/{name}.html"
        assert (site / "vocabulary" / page).is_file()
        for path in where:
            assert any(link.endswith(f"vocabulary/{page}") for link in pages[path].links), term
    told = index.read_text(encoding="utf-8")
    headings = re.findall(r"<h2[^>]*>([^<]+)</h2>", told)
    topics = {str(words.value(t, SKOS.prefLabel)) for t in words.objects(None, DCTERMS.subject)}
    assert headings[0] == "Map"
    assert set(headings[1 : len(topics) + 1]) == topics
    assert headings[len(topics) + 1 :][:3] == [
        "Concept schemes", "How the vocabulary is kept", "Former names",
    ]  # fmt: skip
    assert "Inverses" in told and "0.3.0" in told
    assert told.count("<svg") >= 1 and "shape: made by pottery" in told


def test_the_map_of_the_vocabulary_draws_what_the_vocabulary_says() -> None:
    """Each property between classes that may have it and be its value; neighbours, none crossed."""
    words = vocabulary()
    for one, name, other in links():
        if name in ("subClassOf", "source"):  # of other vocabularies
            continue
        of = {
            *words.objects(GLOST[name], RDFS.domain),
            *words.objects(GLOST[name], SDO.domainIncludes),
        }
        to = {
            *words.objects(GLOST[name], RDFS.range),
            *words.objects(GLOST[name], SDO.rangeIncludes),
        }
        assert {*words.transitive_objects(GLOST[one], RDFS.subClassOf)} & of, (one, name)
        near = {*words.transitive_objects(GLOST[other], RDFS.subClassOf)}
        near |= {*words.subjects(RDFS.subClassOf, GLOST[other])}  # zones are of tunnel kilns only
        assert near & to, (name, other)
    assert (GLOST.Pottery, RDFS.subClassOf, GLOST.Firm) in words
    taken = set(boxes().values())
    assert len(taken) == len(boxes()) == 22
    for one, _, other in links():
        (a, b), (c, d) = boxes()[one], boxes()[other]
        steps = max(abs(c - a), abs(d - b))
        between = {(a + (c - a) * n // steps, b + (d - b) * n // steps) for n in range(1, steps)}
        assert not between & taken, (one, other)
