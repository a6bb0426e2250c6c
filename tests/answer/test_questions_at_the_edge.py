"""Questions where two things fall on one day or year, and where a row was withdrawn.

One small collection, each part of it made for one edge; what is expected is reckoned by hand beside
it. Days are given exactly, so that what is a day apart and what is the same day can be told.
"""

from pathlib import Path

import pytest

import shelf
from glost.answer.snapshot import Snapshot

SOURCES = """source,title,kind,date,complete,quoted_in
book,A book,book,1950,,
letter,A letter,letter,1951,,
old,A lost letter,letter,1949,,book
list,List,catalogue,1908,yes,
wide,A list of two years,catalogue,1912/1914,no,
first,First list,catalogue,1920,no,
second,Second list,catalogue,1922,no,
talk,A talk,talk,1990,,
"""

# In each plant a periodic kiln p and a tunnel kiln t, by the letter of the plant.
KILNS = """kiln,plant,kind,count,begin,end,source
ap,a,bottle,,1900-01-01,1920-05-01,book
at,a,tunnel,,1920-05-01,1930-01-01,book
bp,b,bottle,,1900-01-01,1920-05-01,book
bt,b,tunnel,,1920-04-30,1930-01-01,book
ct,c,tunnel,,1910-01-01,1912-01-01,book
cp,c,bottle,,1915-01-01,1930-01-01,book
dp,d,bottle,,1900,,book
dt,d,tunnel,,1920,,book
ep,e,bottle,,1900,,book
et,e,tunnel,,1920,,book
fp,f,bottle,,1900,,book
ft,f,tunnel,,1920,,book
gp,g,bottle,,1900,,book
gt,g,tunnel,,1920,,book
hp,h,bottle,,1900,,book
ht,h,tunnel,,1920,,book
ip,i,bottle,,1900,,book
it,i,tunnel,,1920,,book
jt1,j,tunnel,,1921,,book
jt2,j,tunnel,,,,book
kp,k,bottle,,,,book
kt,k,tunnel,several,,,book
lp,l,bottle,,1930,,book
lp,l,bottle,,,1920,letter
mp1,m,bottle,,,,book
mp2,m,bottle,,,,book
"""

SEQUENCES = """thing,thing_point,relation,other,other_point,source
kiln/dp,end,before,kiln/dt,begin,letter
kiln/et,begin,after,kiln/ep,end,letter
kiln/fp,run,before,kiln/ft,run,letter
kiln/gt,run,after,kiln/gp,run,letter
kiln/hp,run,meets,kiln/ht,run,letter
kiln/ip,end,equals,kiln/it,begin,letter
kiln/mp1,begin,before,kiln/mp2,begin,letter
kiln/mp2,begin,before,kiln/mp1,begin,book
shape/oak,begin,before,shape/pine,begin,letter
shape/pine,begin,before,shape/oak,begin,book
shape/same,begin,equals,shape/free,begin,letter
shape/same,end,after,shape/free,begin,letter
shape/ended,end,equals,shape/free,begin,letter
shape/long-gone,run,before,shape/late,run,letter
mark/star,end,before,shape/began-late,begin,letter
"""

SHAPES = """shape,pottery,name,begin,end,source,claim
late,one,Late,1912-05-01,1940,book,
came-too,one,Came too,1912-05-01,1930-01-01,book,
went-then,one,Went then,1900-01-01,1912-05-01,book,
went-soon,one,Went soon,1900,1913,book,
long-gone,one,Long gone,1880,1890,book,
free,two,Free,,,book,
same,two,Same,,,book,
ended,two,Ended,,,book,
oak,three,Oak,,,book,
pine,three,Pine,,,book,
until,three,Until,,../1920,book,
jugs,three,Jugs,,,book,
exact,three,Exact,1908,1912,book,
began,three,Began,1912,1915,book,
before,three,Before,1900,1911,book,
x,four,X,,,book,
y,four,Y,,,book,
z,four,Z,,,book,
dated,five,Dated,1901,,book,dated-1901
dated,five,Dated,1900,,letter,dated-1900
model,five,Model,,,book,
redone,five,Redone,,,book,
mould,five,Mould,,,book,
began-late,five,Began late,,,book,
went,six,Went,,../1912-05-01,book,
came,six,Came,1912-05-01/..,,book,
"""

TABLES = {
    "sources": SOURCES,
    "potteries": "pottery,name,source\n"
    + "".join(
        f"{name},Pottery {name},book\n" for name in ("one", "two", "three", "four", "five", "six")
    ),
    "plants": "plant,pottery,name,source\n"
    + "".join(f"{name},one,Plant {name},book\n" for name in "abcdefghijklm"),
    "kilns": KILNS,
    "kilns-lengths": "kiln,length,source\njt1,300 ft,book\n",
    "sequences": SEQUENCES,
    "shapes": SHAPES,
    "firms": "firm,name,source\nbazaar,Bazaar,book\n",
    "decals": "decal,name,source\nrose,Rose,book\n",
    "glazes": "glaze,pottery,name,source\nmoss,five,Moss,book\n",
    "glaze_articles": "glaze,shape,form,only,source\nmoss,model,plate,yes,book\n",
    "treatments": "treatment,pottery,number,decal,glaze,shape,source\n"
    "homeless,five,F1,rose,moss,,book\nhome,five,F2,,,model,book\naway,five,F3,,,model,book\n",
    "appearances": "treatment,shape,source\naway,model,letter\n",
    "marks": "mark,pottery,applied,source\nstar,five,impressed,book\n",
    "pieces-marked": "piece,shape,form,mark\nstarred,began-late,jug,star\n",
    "pieces": "piece,shape,form,treatment,glaze,made,decorated,retailer\n"
    "m1905,jugs,jug,,,1905,,\n"
    "m1912,jugs,jug,,,1912,,\n"
    "m1904,jugs,jug,,,1904,,\n"
    "m1913,jugs,jug,,,1913,,\n"
    "from1912,jugs,jug,,,1912/1915,,\n"
    "to1905,jugs,jug,,,1900/1905,,\n"
    "by1910,,jug,,,../1910,,\n"
    "open,,jug,,,,,\n"
    "painted,,jug,homeless,,,1907,bazaar\n"
    "home-on-redone,redone,jug,home,,,,\n"
    "home-on-model,model,jug,home,,,,\n"
    "away-on-redone,redone,jug,away,,,,\n"
    "mossy,mould,jug,,moss,,,\n",
    "lineage": "thing,copied_from,redesigned_from,moulds_from,like,hardly_told_from,source,claim\n"
    "shape/redone,,shape/model,,,,book,\n"
    "shape/mould,,,shape/model,,,book,\n"
    "shape/dated,shape/model,,,,,book,copied-wrongly\n"
    "shape/dated,,,,shape/model,,book,\n"
    "shape/dated,,,,,shape/mould,book,alike-wrongly\n",
    "substitutions": "came,instead_of,source,claim\n"
    "shape/late,shape/long-gone,book,\n"
    "shape/late,shape/went-then,book,\n"
    "shape/late,shape/came-too,letter,instead-wrongly\n"
    "shape/came,shape/went,book,\n",
    "groups": "group,name,shape,leaves_out,source,claim\n"
    "early,Early lines,oak,,book,\n"
    "early,Early lines,pine,,letter,\n"
    "early,Early lines,,oak,letter,left-out-wrongly\n",
    "assortments": "catalogue,shape,form,trade_size,item,source,claim\n"
    "wide,jugs,jug,,,,\n"
    "first,x,teapot,,,,\nsecond,y,teapot,,,,\n"
    "list,z,egg-cup,,,,\n",
    "absences": "of,lacks,form,source\nshape/z,article,egg-cup,letter\n",
    "corrections": "withdraws,reason,source\n"
    "dated-1900,It was a year later.,book\n"
    "copied-wrongly,It is no copy.,letter\n"
    "alike-wrongly,They are not alike.,letter\n"
    "instead-wrongly,It came beside it.,book\n"
    "left-out-wrongly,It is among them.,letter\n",
}


@pytest.fixture(scope="module")
def edge(tmp_path_factory: pytest.TempPathFactory) -> Snapshot:
    empty = dict.fromkeys(shelf.TABLES, "")
    return Snapshot(shelf.write(tmp_path_factory.mktemp("edge") / "shelf", **{**empty, **TABLES}))


def rows(snapshot: Snapshot, name: str, columns: str, **given: object) -> list[str]:
    """Return some columns of an answer, each row one text, values shortened to their ids."""
    answer = snapshot.answers.ask(name, **given)
    places = [answer.columns.index(column) for column in columns.split()]
    values = [
        ["-" if v is None or str(v) == "" else str(v).rsplit("/", 1)[-1] for v in row.values]
        for row in answer.rows
    ]
    return [" ".join(row[place] for place in places) for row in values]


# -- kilns ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("plant", "verdict"),
    [
        ("a", "no"),  # the bottle was last drawn on the day on which the tunnel was lit
        ("b", "yes"),  # the tunnel was lit the day before
        ("c", "no"),  # the tunnel was given up before the bottle was built
        ("d", "no"),  # an order: the end of the one before the beginning of the other
        ("e", "no"),  # the same, said the other way round
        ("f", "no"),  # one run before the other
        ("g", "no"),  # the same, said the other way round
        ("h", "no"),  # the one began as the other ended
        ("i", "no"),  # both on one day
        ("k", "not known"),  # no date of any of them
    ],
)
def test_whether_both_kinds_of_kiln_burned_on_one_day(
    edge: Snapshot, plant: str, verdict: str
) -> None:
    assert set(rows(edge, "periodic-to-tunnel", "side_by_side", plant=plant)) == {verdict}


def test_a_tunnel_of_which_no_beginning_is_known_may_have_been_the_first(edge: Snapshot) -> None:
    """One was lit in 1921, of the other nothing is known: the first by 1921, from when is open."""
    columns = "first_tunnel_from first_tunnel_by tunnel_kilns periodic_kilns"
    assert rows(edge, "periodic-to-tunnel", columns, plant="j") == ["- 1921 2 0"]
    (several,) = rows(edge, "periodic-to-tunnel", "tunnel_kilns periodic_kilns", plant="k")
    assert several == "2 or more 1"


def test_an_order_said_of_the_later_kiln_first_is_shown_too(edge: Snapshot) -> None:
    shown = {p: rows(edge, "periodic-to-tunnel", "tunnel replaced basis", plant=p) for p in "de"}
    assert shown == {p: [f"{p}t {p}p set against it in time"] for p in "de"}


def test_a_bottle_built_after_it_was_pulled_down_is_in_dispute(edge: Snapshot) -> None:
    found = rows(edge, "periodic-to-tunnel", "disputed", plant="l")
    assert found == ["when a periodic kiln was in use"]
    assert rows(edge, "kilns", "kiln in_use disputed", plant="l", year=1925) == [
        "lp possibly disputed"
    ]


def test_a_kiln_lit_or_drawn_in_a_year_was_in_use_in_it(edge: Snapshot) -> None:
    """Both of plant a in 1920: the one was drawn, the other lit in that year, on one day."""
    asked = {year: rows(edge, "kilns", "kiln in_use", plant="a", year=year)
             for year in (1919, 1920, 1921)}  # fmt: skip
    assert asked == {1919: ["ap yes"], 1920: ["ap yes", "at yes"], 1921: ["at yes"]}


def test_an_order_that_turns_on_itself_is_in_dispute_without_any_date(edge: Snapshot) -> None:
    found = rows(edge, "kilns", "kiln in_use disputed", plant="m", year=1920)
    assert found == ["mp1 possibly disputed", "mp2 possibly disputed"]


def test_figures_of_one_plant_only(edge: Snapshot) -> None:
    assert rows(edge, "kiln-figures", "kiln", plant="a") == []
    assert rows(edge, "kiln-figures", "kiln written", plant="j") == ["jt1 300 ft"]


# -- years ---------------------------------------------------------------------------------------


def test_a_shape_is_in_production_in_its_first_and_in_its_last_year(edge: Snapshot) -> None:
    """1912: the last year of Exact, the first of Began, a year after Before.

    Until has an end not after 1920, which bears on it; Oak and Pine were each brought in before
    the other.
    """
    found = rows(edge, "in-production", "shape verdict disputed shown", pottery="three", year=1912)
    assert sorted(found) == [
        "began yes - -",
        "exact yes - -",
        # Made in 1904 and in 1913; the list, of 1912, 1913 or 1914, shows nothing of 1912.
        "jugs yes - a piece made that year",
        "oak possibly disputed -",
        "pine possibly disputed -",
        "until possibly - -",
    ]
    assert "exact yes" in rows(edge, "in-production", "shape verdict", year=1908)
    assert "began yes" in rows(edge, "in-production", "shape verdict", year=1915)
    assert not any(r.startswith("exact") for r in rows(edge, "in-production", "shape", year=1913))


def test_an_end_alone_bears_on_production_where_a_beginning_need_not_come_before_it(
    tmp_path: Path,
) -> None:
    """By the rule that a run begins before it ends, an end not after 1920 bounds the beginning."""
    shapes = {"shapes": "shape,pottery,name,end,source\noak,one,Oak,../1920,book\n"}
    bare = dict.fromkeys(shelf.TABLES, "") | {"sources": SOURCES, "potteries": TABLES["potteries"]}
    here = shelf.write(tmp_path / "shelf", **{**bare, **shapes})
    with (here / "collection.toml").open("a", encoding="utf-8") as settings:
        settings.write('[dates]\nwithout = ["begin-before-end"]\n')
    found = rows(Snapshot(here), "in-production", "shape verdict begun_by ended_by", year=1912)
    assert found == ["oak possibly - 1920"]


def test_runs_in_dispute_are_told_without_any_date(edge: Snapshot) -> None:
    found = rows(edge, "runs-reckoned", "shape disputed", pottery="three")
    assert {"oak disputed", "pine disputed", "exact -"} <= set(found)
    answer = edge.answers.ask("runs-reckoned", pottery="three")
    (oak,) = [row for row in answer.rows if str(row.values[0]).endswith("/oak")]
    origins = {c.origin.table for c in edge.record.claims if str(c.iri) in oak.claims}
    assert origins == {"sequences"}  # what is in dispute, and not merely that there is an Oak
    assert not any("Oak" in note.text(str) for note in answer.notes)  # not among the unknown


def test_pieces_made_in_the_first_and_the_last_year_asked_about(edge: Snapshot) -> None:
    """1905 to 1912, both counting: 1904 and 1913 are out, what reaches in is possible."""
    found = rows(edge, "pieces-made-between", "piece verdict", first=1905, last=1912)
    assert {"m1905 yes", "m1912 yes", "from1912 possibly", "to1905 possibly",
            "by1910 possibly", "open not known"} <= set(found)  # fmt: skip
    assert not {"m1904", "m1913"} & {row.split()[0] for row in found}


def test_a_piece_of_a_shape_that_came_after_its_mark_went_is_in_dispute(edge: Snapshot) -> None:
    """No date bears on it, but the orders that do cannot hold together."""
    found = rows(edge, "pieces-made-between", "piece verdict disputed", first=1905, last=1912)
    assert "starred possibly disputed" in found
    assert "open not known -" in found


def test_a_date_of_decorating_and_that_of_a_source_are_given_dates(edge: Snapshot) -> None:
    columns = "event date source"
    assert rows(edge, "dates-given", columns, thing="piece/painted") == ["decorated 1907 painted"]
    assert rows(edge, "dates-given", "date", thing="source/list") == ["1908"]


# -- when a line came in -------------------------------------------------------------------------


def test_what_stood_on_the_day_a_line_came_in(edge: Snapshot) -> None:
    """Late came in on 1912-05-01: Came too on that day, Went then ended on it.

    Went soon ended in 1913, at any time of it: within a year of 1912, and it stood. Long gone
    neither stood nor left, and is told only for the order that a source gives.
    """
    found = rows(edge, "line-when-introduced", "other stood left relation", shape="late", within=1)
    assert set(found) == {
        "came-too yes no -",
        "went-then yes yes -",
        "went-soon yes yes -",
        "long-gone no no before",
    }


def test_what_stood_by_the_order_of_events_alone(edge: Snapshot) -> None:
    """Same began with Free and ended after it; Ended ended as Free began: both stood that day."""
    found = rows(edge, "line-when-introduced", "other stood", shape="free")
    assert set(found) == {"same yes", "ended yes"}


# -- who was first -------------------------------------------------------------------------------


def test_what_is_surer_stands_first(edge: Snapshot) -> None:
    """Neither X nor Y has a date: X is in the earlier list, and is possibly the first.

    Of the one in the later list it is not known, and the other way round for the last.
    """
    columns = "shape verdict"
    given = {"form": "teapot", "pottery": "four"}
    assert rows(edge, "first-to-offer", columns, **given) == ["x possibly", "y not known"]
    assert rows(edge, "last-to-offer", columns, **given) == ["y possibly", "x not known"]
    for name in ("first-to-offer", "last-to-offer"):
        told = rows(edge, name, "deciding", **given)
        assert all("was brought in" in each for each in told)


@pytest.mark.parametrize("name", ["first-to-offer", "last-to-offer", "articles-of-one-shape"])
def test_what_a_list_has_and_a_letter_denies_is_in_dispute(edge: Snapshot, name: str) -> None:
    answer = edge.answers.ask(name, pottery="four")
    column = {c: at for at, c in enumerate(answer.columns)}
    (row,) = [r for r in answer.rows if str(r.values[column["shape"]]).endswith("shape/z")]
    assert str(row.values[column["disputed"]]) == "whether Z had it"
    assert str(row.values[column["verdict"]]) == "possibly"


# -- rows that were withdrawn --------------------------------------------------------------------


def test_a_date_that_was_withdrawn_is_not_given(edge: Snapshot) -> None:
    assert rows(edge, "dates-given", "date", thing="shape/dated") == ["1901"]


def test_descent_and_likeness_that_were_withdrawn_are_gone(edge: Snapshot) -> None:
    """Redone and Mould come from Model, in two ways; Dated was withdrawn as a copy of it."""
    expected = ["mould sharesMouldsWith model".replace("shares", "ontology#shares"),
                "redone ontology#redesignedFrom model"]  # fmt: skip
    for thing in ("shape/model", "shape/redone", "shape/mould"):
        assert rows(edge, "family", "member relation other", thing=thing) == expected
    assert rows(edge, "likenesses", "one other degree") == ["dated model much like"]
    for one, other in (("model", 1), ("dated", 1), ("mould", 0)):
        assert len(rows(edge, "likenesses", "one", thing=f"shape/{one}")) == other


def test_a_source_that_took_back_what_it_said_of_a_shape_names_others_only(edge: Snapshot) -> None:
    found = rows(edge, "groups-of-shapes", "shape member disputed says source", group="early")
    assert sorted(found) == [
        "oak yes no counts it in book",
        "oak yes no names others only letter",
        "pine yes no counts it in letter",
        "pine yes no names others only book",
    ]


def test_what_a_source_said_and_took_back_is_shown_as_withdrawn(edge: Snapshot) -> None:
    found = rows(edge, "source-supports", "value standing", source="letter")
    assert "1900 withdrawn" in found and "1900 current" not in found


def test_what_came_instead_on_the_day_the_other_ended_was_there_beside_it(edge: Snapshot) -> None:
    """Late came in on 1912-05-01: Went then ended on that day, Long gone years before.

    Came came in then or later, and Went ended then or before: that day is all they can share.
    """
    found = rows(edge, "substitutions", "came instead_of side_by_side")
    assert found == ["came went possibly", "late long-gone no", "late went-then yes"]
    for thing, count in (("late", 2), ("long-gone", 1), ("came-too", 0)):
        assert len(rows(edge, "substitutions", "came", thing=f"shape/{thing}")) == count


# -- decoration ----------------------------------------------------------------------------------


def test_a_treatment_without_a_home_is_among_the_uses_of_a_decal(edge: Snapshot) -> None:
    assert rows(edge, "decal-numbers", "treatment number home") == ["homeless F1 -"]


def test_a_glaze_said_to_be_on_others_only_is_told_of_a_form_asked_for(edge: Snapshot) -> None:
    found = rows(edge, "glazes-and-articles", "glaze shape form found said", form="teapot")
    assert found == ["moss model teapot no on others only"]


def test_a_piece_shows_what_its_treatment_uses_and_whom_it_was_made_for(edge: Snapshot) -> None:
    columns = "piece how"
    for what in ("glaze/moss", "decal/rose"):
        found = rows(edge, "pieces-showing", columns, what=what)
        assert "painted bears a treatment that uses it" in found
    assert rows(edge, "pieces-showing", columns, what="firm/bazaar") == ["painted was made for it"]


def test_glazes_of_a_shape_are_found_by_the_shape(edge: Snapshot) -> None:
    for what, expected in (
        ("shape/mould", ["moss"]),
        ("shape/model", []),
        ("glaze/moss", ["moss"]),
    ):
        assert rows(edge, "glazes-and-shapes", "glaze", what=what) == expected


def test_what_was_seen_at_home_or_is_listed_there_is_not_told(edge: Snapshot) -> None:
    """Home is seen on Redone and on its home Model; Away on Redone, and a letter has it at home."""
    assert rows(edge, "never-seen-at-home", "treatment") == []


# -- the record itself ---------------------------------------------------------------------------


def test_each_of_two_corrections_of_one_cell_is_told(tmp_path: Path) -> None:
    """One puts another number in place of B7, the other none; neither hides the other."""
    treatments = f"{shelf.TABLES['treatments']}b7,,B1,,,letter,last page,b7-in-hand\n"
    corrections = (
        "withdraws,columns,replaced_by,reason,source,claim\n"
        "b7-as-printed,number,b7-in-hand,It was misread.,letter,second\n"
        "b7-as-printed,number,,It is no number.,cat1908,first\n"
    )
    tables = {"treatments": treatments, "corrections": corrections}
    found = Snapshot(shelf.write(tmp_path / "shelf", **tables))
    told = rows(found, "corrections", "thing property after reason evidence")
    assert sorted(told) == [
        "b7 ontology#treatmentNumber - It is no number. cat1908",
        "b7 ontology#treatmentNumber B1 It was misread. letter",
    ]
