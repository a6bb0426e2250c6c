"""The page to try queries on, as a reader without script has it."""

import csv
import io
from html.parser import HTMLParser

import httpx2 as httpx
import pytest

from glost.answer.questions import catalogue

HTML = {"accept": "text/html"}
FITTING = {
    "shape": "alder",
    "source": "cat1908",
    "text": "rim",
    "year": "1912",
    "number": "1",
    "form": "saucer",
}
"""Something of each kind that a question can be asked about."""
TREATMENTS = "SELECT ?t ?name { ?t a glost:Treatment ; rdfs:label ?name } ORDER BY ?name"


class Page(HTMLParser):
    """What is in a page: its elements with their attributes, and its text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.elements if name == tag]


def page(client: httpx.Client, **fields: str) -> Page:
    answer = client.get("sparql", params=fields, headers=HTML)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    return Page(answer.text)


def test_the_page_holds_every_question_ready_to_run(client: httpx.Client) -> None:
    read = page(client)
    forms_of_queries = [form for form in read.all("form") if form.get("role") != "search"]
    assert [form["method"] for form in forms_of_queries] == ["get"] * (len(catalogue()) + 1)
    names = [each["value"] for each in read.all("input") if each.get("name") == "question"]
    assert names == list(catalogue())
    ids = [attributes["id"] for _, attributes in read.elements if attributes.get("id")]
    assert len(ids) == len(set(ids))
    forms = client.get("sparql", headers=HTML).text.split("<form")
    needing = [form for form in forms if " required>" in form and "<details" in form]
    assert needing
    assert all("<details open>" in form for form in needing)
    labelled = {each["for"] for each in read.all("label")}
    fields = [*read.all("input"), *read.all("textarea")]
    told = [each for each in fields if each.get("type") not in ("hidden", "search")]
    assert {each["id"] for each in told} == labelled


@pytest.mark.parametrize("name", list(catalogue()))
def test_every_question_runs(client: httpx.Client, name: str) -> None:
    given = {
        parameter.name: next(FITTING[kind] for kind in parameter.kinds if kind in FITTING)
        for parameter in catalogue()[name].parameters
        if not (parameter.optional or parameter.default)
    }
    answer = client.get("sparql", params={"question": name, **given}, headers=HTML)
    assert answer.status_code == 200, answer.text
    read = Page(answer.text)
    assert f"questions/{name}.html" in {link.get("href") for link in read.all("a")}
    rows = client.get("sparql", params={"question": name, **given, "format": "csv"})
    assert rows.status_code == 200


def test_a_question_with_a_parameter_shows_what_was_given(client: httpx.Client) -> None:
    read = page(client, question="in-production", year="1915")
    values = [each["value"] for each in read.all("input") if each.get("name") == "year"]
    assert values[0] == "1915"
    assert set(values[1:]) <= {""}
    assert "VALUES ?year { " in read.text
    assert "# question:" not in read.text
    wrong = client.get("sparql", params={"question": "in-production", "year": "x"}, headers=HTML)
    assert wrong.status_code == 400
    assert "is not a year" in wrong.text


def test_names_that_are_markup_are_shown_as_they_are(client: httpx.Client) -> None:
    read = page(client, query=TREATMENTS)
    assert "<script>alert(1)</script>" in read.text
    assert [each.get("src") for each in read.all("script")] == ["sparql/query.js"]
    assert "A <b>shelf</b>" in read.text
    shown = page(client, query='SELECT ("</textarea><script>alert(3)</script>" AS ?x) {}')
    assert len(shown.all("script")) == 1
    bad = client.get("sparql", params={"query": "</textarea><script>x"}, headers=HTML)
    assert bad.status_code == 400
    assert len(Page(bad.text).all("script")) == 1


def test_only_addresses_of_the_web_are_links(client: httpx.Client) -> None:
    cells = " ".join(
        f"<{iri}>"
        for iri in (
            "javascript:alert(1)",
            "data:text/html,x",
            "https://example.org/shelf/javascript:alert(2)",
            "https://example.org/shelf//evil.test/",
            "https://elsewhere.test/",
        )
    )
    read = page(client, query=f"SELECT ?x {{ VALUES ?x {{ {cells} }} }}")
    shown = [each["href"] for each in read.all("a") if "evil" in str(each) or ":" in str(each)]
    assert "javascript:alert(1)" in read.text
    assert not [href for href in shown if href.startswith(("javascript", "data:", "//", "/"))]
    assert "./javascript%3Aalert%282%29" in shown
    assert "https://elsewhere.test/" in shown


def test_things_are_shown_by_name_and_lead_to_their_pages(client: httpx.Client) -> None:
    read = page(client, query="SELECT ?s { ?s a glost:Shape } ORDER BY ?s")
    links = [each["href"] for each in read.all("a")]
    assert "./shape/alder" in links
    assert "Alder" in read.text


def test_a_long_table_is_cut_and_says_so(client: httpx.Client) -> None:
    read = page(client, query="SELECT * { ?s ?p ?o } LIMIT 700")
    assert len(read.all("tr")) == 501
    assert "700 rows" in " ".join(read.text.split())
    assert "The first 500 are shown" in read.text
    files = [each["href"] for each in read.all("a") if "format=csv" in str(each["href"])]
    whole = client.get(files[0])
    assert len(list(csv.reader(io.StringIO(whole.text)))) == 701


def test_yes_no_and_statements_have_pages(client: httpx.Client) -> None:
    assert "Yes." in page(client, query="ASK { ?s a glost:Shape }").text
    made = page(client, query="CONSTRUCT { ?s a ?c } { ?s a ?c } LIMIT 3")
    assert "3 statements" in " ".join(made.text.split())
    assert "a glost:" in made.text or "a owl:" in made.text or "<" in made.text
    assert "0 rows" in " ".join(page(client, query="SELECT * { <x:a> <x:b> ?c }").text.split())


def test_what_the_page_needs_is_there(client: httpx.Client) -> None:
    for path, media in (("query.css", "text/css"), ("query.js", "text/javascript")):
        answer = client.get(f"sparql/{path}")
        assert answer.status_code == 200
        assert answer.headers["content-type"].startswith(media)


def test_an_answer_says_what_it_was_asked_about_defaults_included(client: httpx.Client) -> None:
    text = page(client, question="in-production").text
    assert "year: 1915; pottery: any." in " ".join(text.split())


def test_an_empty_answer_says_why(client: httpx.Client) -> None:
    text = page(client, question="family", thing="shape/birch").text
    assert "No source says what Birch was made from, or what was made from it." in text


def test_a_group_stands_for_its_shapes_and_the_page_says_who_counts_them(
    client: httpx.Client,
) -> None:
    read = page(client, question="shared-flatware", shape="The pair")
    text = " ".join(read.text.split())
    assert "shape: The pair." in text
    assert "Alder: counted in The pair by [Letter of a traveller]." in text
    assert "Birch: counted in The pair by [Letter of a traveller]." in text
    assert any("claim/the-pair" in (each["href"] or "") for each in read.all("a"))
