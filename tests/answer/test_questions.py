"""Named questions: their headers, their parameters, their answers and what each row rests on."""

import csv
import io
import tomllib
from collections.abc import Callable
from itertools import dropwhile
from pathlib import Path

import pyoxigraph as ox
import pytest

import shelf
from glost.answer.answers import Answers
from glost.answer.evidence import Evidence
from glost.answer.headers import HeaderError, read_header
from glost.answer.parameters import ParameterError, Things
from glost.answer.questions import (
    Answer,
    QuestionData,
    UnknownQuestion,
    Value,
    catalogue,
    describe,
    question,
)
from glost.answer.snapshot import Snapshot
from glost.report.as_json import json
from glost.report.results.answer import told
from glost.report.things import Kept
from glost.report.things.said import Said
from printed import tables

EXPECTED = Path(__file__).parent / "expected"
ASKED = tomllib.loads((EXPECTED / "parameters.toml").read_text(encoding="utf-8"))
NAMES = sorted(catalogue())
Ask = Callable[[str, str, Snapshot], Answer]
CASES = [(where, name) for where in sorted(ASKED) for name in NAMES]


def snapshot_of(where: str, request: pytest.FixtureRequest) -> Snapshot:
    found = request.getfixturevalue({"little": "little", "wend-valley": "valley"}[where])
    assert isinstance(found, Snapshot)
    return found


@pytest.fixture(scope="module")
def asked() -> Ask:
    """Put a question of `CASES` to its collection; each is put once."""
    kept: dict[tuple[str, str], Answer] = {}

    def ask(where: str, name: str, snapshot: Snapshot) -> Answer:
        if (where, name) not in kept:
            kept[where, name] = snapshot.answers.ask(name, **ASKED[where].get(name, {}))
        return kept[where, name]

    return ask


def shortened(base: str) -> dict[str, str]:
    return {
        base: "",
        "https://w3id.org/glost/ontology#": "glost:",
        "http://www.w3.org/2000/01/rdf-schema#": "rdfs:",
        "http://www.w3.org/2004/02/skos/core#": "skos:",
        "http://purl.org/dc/elements/1.1/": "dc:",
        "http://purl.org/dc/terms/": "dcterms:",
        "https://w3id.org/glost/": "",
    }


def written(answer: Answer, base: str) -> str:
    def words(value: Value) -> str:
        text = "" if value is None else str(value)
        for long, short in shortened(base).items():
            if text.startswith(long):
                return short + text.removeprefix(long)
        return text

    return without_heading(answer.csv(words))


def without_heading(text: str) -> str:
    lines = text.splitlines(keepends=True)
    return "".join(dropwhile(lambda line: line.startswith("# "), lines))


@pytest.mark.parametrize(("where", "name"), CASES)
def test_each_question_gives_the_answer_expected(
    where: str, name: str, request: pytest.FixtureRequest, asked: Ask
) -> None:
    snapshot = snapshot_of(where, request)
    answer = asked(where, name, snapshot)
    file = EXPECTED / where / f"{name}.csv"
    assert written(answer, snapshot.record.base) == file.read_text(encoding="utf-8")


def test_every_expected_answer_is_some_questions_and_every_question_is_answered_somewhere() -> None:
    filled = set()
    for where in ASKED:
        files = {file.stem: file for file in (EXPECTED / where).glob("*.csv")}
        assert sorted(files) == NAMES
        filled |= {n for n, f in files.items() if len(f.read_text("utf-8").splitlines()) > 1}
    assert sorted(filled) == NAMES


@pytest.mark.parametrize(("where", "name"), CASES)
def test_every_row_names_the_claims_and_passages_it_rests_on(
    where: str, name: str, request: pytest.FixtureRequest, asked: Ask
) -> None:
    answer = asked(where, name, snapshot_of(where, request))
    for row in answer.rows:
        assert row.claims or answer.question.header.unsupported, row.values
        assert len(row.passages) >= bool(row.claims)
        assert list(row.claims) == sorted(set(row.claims))


@pytest.fixture(scope="module")
def backwards(little: Snapshot) -> QuestionData:
    """The little collection with its statements loaded in the opposite order."""
    store = ox.Store()
    for quad in reversed(list(little.answers.store)):
        store.add(quad)
    base, contents = little.contents.base, little.contents
    return QuestionData(store, Things(store, base), Evidence(lambda: contents, store, contents.why))


@pytest.mark.parametrize("name", NAMES)
def test_answers_do_not_depend_on_the_order_of_loading(
    name: str, little: Snapshot, backwards: QuestionData, asked: Ask
) -> None:
    given = ASKED["little"].get(name, {})
    one, other = asked("little", name, little), question(name).ask(backwards, **given)
    assert [row.values for row in one.rows] == [row.values for row in other.rows]
    assert [row.claims for row in one.rows] == [row.claims for row in other.rows]


def test_there_are_enough_questions_and_each_says_why_it_is_asked() -> None:
    assert len(NAMES) >= 20
    for name, each in catalogue().items():
        header = each.header
        assert header.question.endswith("?"), name
        assert header.why.endswith("."), name
        assert header.evidence or header.claims or header.unsupported, name
        assert header.columns, name


@pytest.mark.parametrize("name", NAMES)
def test_each_file_is_sparql_as_it_stands_and_selects_what_its_header_says(name: str) -> None:
    header = question(name).header
    solutions = ox.Store().query(header.query)
    assert isinstance(solutions, ox.QuerySolutions)
    selected = [variable.value for variable in solutions.variables]
    columns = [column for column, _ in header.columns]
    assert selected[: len(columns)] == columns
    assert set(header.claims) <= set(selected)
    order = header.query.rsplit("ORDER BY", 1)[1].split()
    assert {f"?{column}" for column in columns} <= {*order, *_decided(name)}


def _decided(name: str) -> set[str]:
    """Columns that need not be sorted by, since those sorted by decide them."""
    return {
        "assortment-sizes": {"?articles", "?change", "?comparable"},
        "glazes-and-shapes": {"?basis", "?pieces"},
        "never-seen-at-home": {"?pieces"},
        "periodic-to-tunnel": {f"?{c}" for c, _ in question(name).header.columns},
    }.get(name, set())


def error(answers: Answers, name: str, **given: object) -> str:
    with pytest.raises(ParameterError) as caught:
        answers.ask(name, **given)
    return str(caught.value)


def test_things_are_named_by_id_kind_and_id_iri_or_name(little: Snapshot) -> None:
    ways = ("birch", "shape/birch", "https://example.org/tarn/shape/birch", "Birch", "BIRCH")
    found = [little.answers.ask("dates-given", thing=way) for way in ways]
    assert all(len(answer.rows) == 3 for answer in found)
    assert len({tuple(row.values for row in answer.rows) for answer in found}) == 1
    by_form = little.answers.ask("last-to-offer", form="egg cup")
    assert {str(row.values[0]).rsplit("/", 1)[1] for row in by_form.rows} == {"egg-cup"}


def test_a_form_that_the_collection_describes_stands_for_the_published_one(tmp_path: Path) -> None:
    terms = "scheme,term,name,source\nform,teapot,teapot,letter\n"
    answers = Snapshot(shelf.write(tmp_path / "c", terms=terms)).answers
    for name in ("teapot", "form/teapot", "Teapot"):
        found = answers.ask("first-to-offer", form=name)
        assert [str(v) for v in found.parameters.values()] == [
            "<https://example.org/shelf/form/teapot>"
        ]


def test_a_parameter_left_empty_is_one_left_out(little: Snapshot) -> None:
    all_of = little.answers.ask("in-production", year=1912)
    assert little.answers.ask("in-production", year=1912, pottery="").rows == all_of.rows


def test_a_judgement_is_no_thing_to_ask_about(little: Snapshot) -> None:
    iri = "https://example.org/tarn/judgement/first.form-bone-dish.shape-alder"
    assert any(little.answers.store.quads_for_pattern(ox.NamedNode(iri), None, None))
    assert "there is no thing" in error(little.answers, "dates-given", thing=iri)


def test_bad_parameters_are_told_all_at_once_with_the_nearest(little: Snapshot) -> None:
    told = error(little.answers, "line-when-introduced", shape="ceder", within="-1", when=3)
    assert 'there is no shape "ceder"; nearest: Cedar (shape/cedar)' in told
    assert '"-1" is not a whole number, 0 or more' in told
    assert 'it has no parameter "when"; did you mean "within"' in told


@pytest.mark.parametrize(
    ("name", "given", "message"),
    [
        ("in-production", {"year": "MCMX"}, '"MCMX" is not a year, such as 1915'),
        ("in-production", {"year": "19150"}, '"19150" is not a year'),
        ("in-production", {"year": "１９１５"}, '"１９１５" is not a year'),
        ("in-production", {"yaer": 1915}, 'no parameter "yaer"; did you mean "year"'),
        ("corrections", {"shape": "alder"}, 'no parameter "shape"; it has correction'),
        ("line-when-introduced", {}, "shape must be given: the shape that came in"),
        ("decal-numbers", {"decal": "zzz"}, 'no decal "zzz"; there are heath, thrift'),
        ("decal-numbers", {"decal": "shape/alder"}, 'there is no decal "shape/alder"'),
        ("pieces-showing", {"what": "dinner plait"}, "nearest: dinner plate (form/dinner-plate)"),
        ("made-for", {"firm": "Crane & Daughter"}, "nearest: Crane and Daughters (firm/"),
    ],
)
def test_a_bad_parameter_is_one_clear_error(
    little: Snapshot, name: str, given: dict[str, object], message: str
) -> None:
    assert message in error(little.answers, name, **given)


def test_an_id_of_several_things_is_asked_back(little: Snapshot) -> None:
    told = error(little.answers, "one-witness", about="a2-book")
    assert (
        '"a2-book" could be any of claim/a2-book or Correction of what The potters of Tarn Beck, '
        "1950, p. 34, says of A2 (correction/a2-book); give one" in told
    )


def test_an_unknown_question_names_the_nearest(little: Snapshot) -> None:
    with pytest.raises(UnknownQuestion, match='did you mean "crossings"'):
        little.answers.ask("crosings")
    with pytest.raises(UnknownQuestion, match='there is no question "zzz"'):
        little.answers.ask("zzz")


@pytest.mark.parametrize(
    "words",
    [
        '" } UNION { ?piece ?p ?feature } #',
        "stilt\\",
        'stilt"\n} SELECT * { ?s ?p ?o',
        "UNDEF } VALUES ?feature { UNDEF",
        "\\1 $0 {0} %s",
    ],
)
def test_a_text_stays_a_text_whatever_it_holds(little: Snapshot, words: str) -> None:
    assert little.answers.ask("pieces-with-feature", words=words).rows == ()


def test_a_text_is_sought_without_regard_to_capitals(little: Snapshot) -> None:
    found = little.answers.ask("pieces-with-feature", words="STILT").rows
    assert [str(row.values[1]) for row in found] == ["stilt marks", "a Stilt scar"]


def test_a_correction_names_both_claims_and_its_own(little: Snapshot) -> None:
    (row,) = little.answers.ask("corrections").rows
    names = sorted(claim.rsplit("/", 1)[1] for claim in row.claims)
    assert {"a2-book", "a2-piece"} < set(names)
    assert len(names) == 3
    assert {str(passage.source).rsplit("/", 1)[1] for passage in row.passages} == {
        "book50",
        "pc-plate",
    }


def test_an_inferred_row_rests_on_the_claims_it_follows_from(little: Snapshot) -> None:
    """That cedar shares with birch is said of birch, and goes both ways."""
    (row,) = little.answers.ask("shared-flatware", shape="cedar").rows
    assert {str(p.source).rsplit("/", 1)[1] for p in row.passages} >= {"book50", "notice"}


def test_withdrawn_claims_support_nothing_but_what_names_them(little: Snapshot) -> None:
    withdrawn = "https://example.org/tarn/claim/a2-book"
    for name in NAMES:
        answer = little.answers.ask(name, **ASKED["little"].get(name, {}))
        if name not in ("corrections", "source-supports"):
            assert all(withdrawn not in row.claims for row in answer.rows), name


def test_answers_as_plain_values(little: Snapshot) -> None:
    answer = little.answers.ask("crossings")
    said = Said(Kept(little))
    ((first, *_),) = tables(json(told(answer, said, str)).decode(), "answer")
    assert first["number"] == "A1"
    assert {*first["claims"]} == {*answer.rows[0].claims}
    lines = list(csv.reader(io.StringIO(without_heading(answer.csv()))))
    assert lines[0] == list(answer.columns)
    assert len(lines) == len(answer.rows) + 1


def test_the_catalogue_is_described_from_the_headers() -> None:
    text = "\n".join(map(describe, catalogue().values()))
    assert text.count("\n### ") + text.startswith("### ") == len(NAMES)
    told = describe(question("in-production"))
    assert told.startswith("### in-production\n\nWhich shapes were in production in a given year?")
    assert "| `year` | year; 1915 if left out | the year, all of it counting |" in told
    assert "| `pottery` | pottery; all if left out | only shapes of this pottery |" in told
    assert "| `shape` | the shape; those that cannot have been made" in told
    assert "must be given" in describe(question("articles-compared"))


GOOD = """# question: What is there?
# topic: Trying
# why: Somebody
#    asks.
# parameter: year | year | the year
# column: s | a thing
# evidence: ?s glost:form ?f . ?f a skos:Concept

SELECT ?s { VALUES ?year { 1900 } ?s ?p ?year }
"""


def test_a_header_is_read_whole() -> None:
    header = read_header("x", GOOD)
    assert header.why == "Somebody asks."
    assert header.parameters[0].default == "1900"
    assert not header.parameters[0].optional
    assert read_header("x", GOOD.replace("| year |", "| year, any |")).parameters[0].optional
    left = read_header("x", GOOD.replace("{ 1900 }", "{ UNDEF }"))
    assert left.parameters[0].default == ""
    assert len(header.evidence[0]) == 2
    assert "VALUES ?year { 7 }" in header.bound({"year": "7"})


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("# why: Somebody\n#    asks.\n", "", "no line '# why: …'"),
        ("| the year", "", "needs 3 fields"),
        ("| a thing", "|", "needs 2 fields"),
        ("VALUES ?year", "VALUES ?jahr", r"no VALUES \?year"),
        ("skos:Concept", "skos-Concept", "neither .variable nor prefix:name"),
        ("?f a skos:Concept", "?f a", "not a triple pattern"),
        ("# evidence:", "# proof:", "neither '# key: …' nor a continuation"),
    ],
)
def test_a_bad_header_says_what_is_wrong(old: str, new: str, message: str) -> None:
    assert old in GOOD
    with pytest.raises(HeaderError, match=message):
        read_header("x", GOOD.replace(old, new))
