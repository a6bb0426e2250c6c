"""Questions across links: what they then find, which links each row names, and what stays as it is."""

from pathlib import Path

import pytest
from rdflib import URIRef

from glost.answer.across import Across, AnswerAcross
from glost.answer.parameters import ParameterError
from glost.answer.snapshot import Snapshot
from glost.record.files import write_whole
from glost.record.together import begin
from keepers import keeper
from shelf import write

ASH, ELM = "https://ash.example/", "https://elm.example/"
SHAPES = "shape,pottery,name,begin,source\n"
LINKS = "one_elsewhere,kind,other_elsewhere,evidence,source,claim\n"
SOURCES = "source,title,kind,date\nnotes,[Notes],comparison,2024\n"


def line(kind: str, ash: str, elm: str, claim: str = "") -> str:
    return f"{ASH}{ash},{kind},{ELM}{elm},seen,notes,{claim}\n"


def both(top: Path, *links: str) -> Snapshot:
    """Lay two keepers side by side: ash knows where numbers are at home, elm has the saucer."""
    ash = keeper(
        top,
        "ash",
        shapes=SHAPES + "alder,harrow,Alder,1905,cat1908\nbirch,harrow,Birch,1906,cat1908\n",
        treatments="treatment,pottery,number,name,shape,source\na12,harrow,A-12,Rim,alder,cat1908\n",
        flatware="shape,with,source\nalder,birch,letter\n",
    )
    elm = keeper(
        top,
        "elm",
        shapes=SHAPES + "burch,harrow,Burch,1906,letter\n",
        treatments="treatment,pottery,number,source\nrim,harrow,A12,letter\n",
        pieces="piece,shape,form,treatment\ns1,burch,saucer,rim\n",
    )
    begin(top / "both", "Both", "https://both.example/", [ash, elm])
    write_whole(top / "both" / "tables" / "links.csv", LINKS + "".join(links))
    write_whole(top / "both" / "tables" / "sources.csv", SOURCES)
    return Snapshot(top / "both")


SHAPE = line("same", "shape/birch", "shape/burch", "one-shape")
RIM = line("same", "treatment/a12", "treatment/rim", "one-rim")


def crossings(snapshot: Snapshot, **given: str) -> AnswerAcross:
    return Across(snapshot).ask("crossings", **given)


def told(found: AnswerAcross) -> list[dict[str, str]]:
    return [
        dict(zip(found.answer.columns, map(str, row.values), strict=True))
        for row in found.answer.rows
    ]


def test_a_crossing_that_neither_keeper_knows_of(tmp_path: Path) -> None:
    """The number's home is Alder by the one, the saucer is Burch by the other: shared flatware."""
    snapshot = both(tmp_path, SHAPE, RIM)
    assert snapshot.answers.ask("crossings").rows == ()
    found = crossings(snapshot)
    rows = [row for row in told(found) if row["explanation"] == "shared flatware"]
    (row, *_) = rows
    assert row["home"] == f"{ASH}shape/alder"
    assert row["seen_in"] == f"{ELM}piece/s1"
    links = found.links[told(found).index(row)]
    assert {c.id for link in links for c in link.claims} == {"one-shape", "one-rim"}
    claims = {str(c.iri): c for c in found.answer.rows[told(found).index(row)].support}
    assert {"https://both.example/claim/one-shape", "https://both.example/claim/one-rim"} <= set(
        claims
    )
    for claim in claims.values():
        assert claim == snapshot.record.claim(str(claim.iri))
        assert claim.statements == snapshot.record.claims.find(str(claim.iri)).statements  # type: ignore[union-attr]
    origins = {str(claim.origin) for claim in claims.values()}
    assert {"ash: tables/treatments.csv row 2", "elm: tables/pieces.csv row 2"} <= origins


def test_each_link_is_needed(tmp_path: Path) -> None:
    assert crossings(both(tmp_path / "a", SHAPE)).answer.rows == ()
    found = crossings(both(tmp_path / "b", RIM))
    assert found.answer.rows
    assert "shared flatware" not in {row["explanation"] for row in told(found)}
    used = {c.id for links in found.links for link in links for c in link.claims}
    assert used == {"one-rim"}


@pytest.mark.parametrize("kind", ["not-the-same", "part-of", "continues", "undecided"])
def test_only_what_is_the_same_is_gone_across(tmp_path: Path, kind: str) -> None:
    snapshot = both(tmp_path, SHAPE, line(kind, "treatment/a12", "treatment/rim"))
    assert crossings(snapshot).answer.rows == ()


def test_a_link_that_another_denies_is_not_gone_across_and_is_named(tmp_path: Path) -> None:
    denial = line("not-the-same", "treatment/a12", "treatment/rim")
    found = crossings(both(tmp_path, SHAPE, RIM, denial))
    assert found.answer.rows == ()
    assert {c.id for link in found.denied for c in link.claims} == {"one-rim"}


def test_a_thing_may_be_named_as_either_keeper_has_it(tmp_path: Path) -> None:
    across = Across(both(tmp_path, SHAPE, RIM))
    for name in ("ash:birch", "elm:burch", f"{ELM}shape/burch", "Birch", "Burch"):
        found = across.ask("dates-given", thing=name)
        values = {str(value) for row in found.answer.rows for value in row.values}
        assert "1906" in values
    elm = across.ask("dates-given", thing="elm:burch")
    ash = [r for r, row in enumerate(elm.answer.rows) if ASH in str(row.claims)]
    assert ash
    with pytest.raises(ParameterError, match="nowhere"):
        across.ask("dates-given", thing="nowhere")


def test_what_rests_on_one_keeper_alone_keeps_that_keeper_s_name(tmp_path: Path) -> None:
    """Elm's piece is of elm's shape whatever ash calls it; the link is named only if it was needed."""
    across = Across(both(tmp_path, SHAPE, RIM))
    own = across.ask("pieces-showing", what="elm:burch")
    (row,) = told(own)
    assert f"{ELM}shape/burch" in row.values()
    assert own.links == ((),)
    asked = across.ask("pieces-showing", what="ash:birch")
    (row,) = told(asked)
    assert row["piece"] == f"{ELM}piece/s1"
    assert {c.id for link in asked.links[0] for c in link.claims} == {"one-shape"}


def test_the_record_itself_is_untouched(tmp_path: Path) -> None:
    snapshot = both(tmp_path, SHAPE, RIM)
    before = [(c.iri, c.statements) for c in snapshot.record.claims]
    crossings(snapshot)
    assert [(c.iri, c.statements) for c in snapshot.record.claims] == before
    assert URIRef(f"{ELM}shape/burch") in set(snapshot.belief.graph.subjects())


def test_without_links_all_is_as_it_is(tmp_path: Path) -> None:
    snapshot = Snapshot(write(tmp_path / "c"))
    for name, given in (
        ("crossings", {}),
        ("in-production", {"year": "1910"}),
        ("one-witness", {}),
    ):
        plain = snapshot.answers.ask(name, **given)
        found = Across(snapshot).ask(name, **given)
        assert [row.values for row in found.answer.rows] == [row.values for row in plain.rows]
        assert [row.claims for row in found.answer.rows] == [row.claims for row in plain.rows]
        assert not any(found.links)


def test_one_source_seen_by_both_is_one_witness(tmp_path: Path) -> None:
    """Two keepers' rows from one book are one witness across links; from two books they are two."""
    shapes = SHAPES + "alder,harrow,Alder,1905,cat1908\n"
    for name in ("ash", "elm"):
        keeper(tmp_path, name, shapes=shapes)
    begin(tmp_path / "both", "Both", "https://both.example/", [tmp_path / "ash", tmp_path / "elm"])
    write_whole(tmp_path / "both" / "tables" / "sources.csv", SOURCES)
    alder = line("same", "shape/alder", "shape/alder")

    def alone(*links: str) -> set[str]:
        write_whole(tmp_path / "both" / "tables" / "links.csv", LINKS + "".join(links))
        found = Across(Snapshot(tmp_path / "both")).ask("one-witness", about="ash:alder")
        return {row["value"] for row in told(found) if row["property"].endswith("#date")}

    assert alone(alder) == set()
    assert alone(alder, line("same", "source/cat1908", "source/cat1908")) == {"1905"}


def test_a_source_that_both_name_is_gone_across_too(tmp_path: Path) -> None:
    shapes = SHAPES + "alder,harrow,Alder,1905,cat1908\n"
    for name in ("ash", "elm"):
        keeper(tmp_path, name, shapes=shapes)
    begin(tmp_path / "both", "Both", "https://both.example/", [tmp_path / "ash", tmp_path / "elm"])
    write_whole(tmp_path / "both" / "tables" / "sources.csv", SOURCES)
    links = (line("same", "shape/alder", "shape/alder", "one-shape"),
             line("same", "source/cat1908", "source/cat1908", "one-source"))  # fmt: skip
    write_whole(tmp_path / "both" / "tables" / "links.csv", LINKS + "".join(links))
    found = Across(Snapshot(tmp_path / "both")).ask("dates-given", thing="ash:alder")
    begun = [n for n, row in enumerate(told(found)) if "1905" in row.values()]
    assert begun
    for number in begun:
        used = {c.id for link in found.links[number] for c in link.claims}
        assert used == {"one-shape", "one-source"}
