"""The named questions on the example archive, worked out a second time from the tables alone.

Nothing but Python's csv module stands between the tables and what is expected here.
"""

import csv
from pathlib import Path

import pytest

from believed_rows import believed
from glost.answer.snapshot import Snapshot
from rows_and_days import published_forms, stated_by_rows

TOP = Path(__file__).resolve().parents[2]
WEND = TOP / "examples" / "wend-valley"


@pytest.fixture(scope="module")
def snapshot(valley: Snapshot) -> Snapshot:
    return valley


def asked(snapshot: Snapshot, name: str, **given: str) -> list[dict[str, str]]:
    answer = snapshot.answers.ask(name, **given)
    base = snapshot.record.base
    short = [
        [str("" if v is None else v).removeprefix(base) for v in row.values] for row in answer.rows
    ]
    return [dict(zip(answer.columns, row, strict=True)) for row in short]


def table(name: str) -> list[dict[str, str]]:
    with (WEND / "tables" / f"{name}.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def split(name: str) -> list[dict[str, str]]:
    """Rows of a table that is split over several files, every column filled."""
    parts = [f"{name}-{p.stem.split('-', 1)[1]}" for p in (WEND / "tables").glob(f"{name}-*.csv")]
    rows = [row for part in (name, *sorted(parts)) for row in table(part)]
    columns = dict.fromkeys(column for row in rows for column in row)
    return [{column: row.get(column) or "" for column in columns} for row in rows]


def current(name: str) -> list[dict[str, str]]:
    """Rows of a table that no correction withdraws, less the cells that one does."""
    columns = table(name)[0]
    return [dict.fromkeys(columns, "") | row for each, row in believed(WEND) if each == name]


def test_sharing_explains_only_shapes_that_share(snapshot: Snapshot) -> None:
    said = {frozenset((row["shape"], row["with"])) for row in current("flatware")}
    rows = [r for r in asked(snapshot, "crossings") if "shared flatware" in r["explanation"]]
    assert rows
    for row in rows:
        home, seen = row["home"].removeprefix("shape/"), row["seen_on"].removeprefix("shape/")
        assert frozenset((home, seen)) in said


def test_pieces_showing_a_form_from_the_tables(snapshot: Snapshot) -> None:
    expected = {f"piece/{row['piece']}" for row in current("pieces") if row["form"] == "teapot"}
    assert {r["piece"] for r in asked(snapshot, "pieces-showing", what="teapot")} == expected


def test_marks_that_name_a_shape_from_the_tables(snapshot: Snapshot) -> None:
    expected = {
        (f"mark/{r['mark']}", f"shape/{r['names_shape']}")
        for r in current("marks")
        if r["names_shape"]
    }
    assert {(r["mark"], r["shape"]) for r in asked(snapshot, "marks-naming-shapes")} == expected


def test_kilns_from_the_tables(snapshot: Snapshot) -> None:
    expected = {f"kiln/{row['kiln']}" for row in current("kilns")}
    assert {r["kiln"] for r in asked(snapshot, "kilns")} == expected


def test_corrections_are_those_of_the_tables_and_trig(snapshot: Snapshot) -> None:
    trig = (WEND / "garrow-index-cards.trig").read_text(encoding="utf-8")
    expected = {
        ".".join(filter(None, (f"correction/{row['withdraws']}", row["columns"])))
        for row in table("corrections")
    }
    assert expected <= {r["correction"] for r in asked(snapshot, "corrections")}
    assert any(row["withdraws"] in trig for row in table("corrections"))


def test_a_source_supports_what_its_rows_say(snapshot: Snapshot) -> None:
    answer = snapshot.answers.ask("source-supports", source="strand-letter")
    rows = [
        (name.stem, i)
        for name in (WEND / "tables").glob("*.csv")
        for i, row in enumerate(table(name.stem), 2)
        if row.get("source") == "strand-letter"
    ]
    claims = {str(c.iri): (c.origin.table, c.origin.row) for c in snapshot.record.claims}
    assert {claims[iri] for row in answer.rows for iri in row.claims} == set(rows)


def test_what_is_withdrawn_is_not_believed(snapshot: Snapshot) -> None:
    numbers = {(r["treatment"], r["number"]) for r in asked(snapshot, "decal-numbers")}
    old = {row["claim"]: row for row in table("treatments") if row["claim"]}
    for correction in table("corrections"):
        row = old.get(correction["withdraws"])
        if row and row["number"]:
            others = {
                r["number"] for r in current("treatments") if r["treatment"] == row["treatment"]
            }
            if row["number"] not in others:
                assert (f"treatment/{row['treatment']}", row["number"]) not in numbers


def likewise(name: str) -> list[dict[str, str]]:
    """Rows of a table that is split over several files, with all columns of any of them."""
    rows: list[dict[str, str]] = []
    for path in (WEND / "tables" / f"{name}.csv", *(WEND / "tables").glob(f"{name}-*.csv")):
        with path.open(encoding="utf-8-sig", newline="") as file:
            rows += csv.DictReader(file)
    columns = {column for row in rows for column in row}
    return [{column: row.get(column) or "" for column in columns} for row in rows]


def test_likenesses_from_the_tables(snapshot: Snapshot) -> None:
    expected = {
        (row["thing"], row[column], degree, f"source/{row['source']}", row["locator"])
        for row in likewise("lineage")
        for column, degree in (
            ("like", "much like"),
            ("hardly_told_from", "hardly to be told apart"),
        )
        if row[column]
    }
    found = asked(snapshot, "likenesses")
    assert len(found) == len(expected) == 2
    assert {
        (r["one"], r["other"], r["degree"], r["source"], r["locator"]) for r in found
    } == expected
    for end in ("tamsin", "plain"):
        assert len(asked(snapshot, "likenesses", thing=f"shape/{end}")) == 1
    assert asked(snapshot, "likenesses", thing="shape/alder") == []


def test_members_of_groups_from_the_tables(snapshot: Snapshot) -> None:
    rows = current("groups")
    expected = set()
    for group in {row["group"] for row in rows}:
        told = [row for row in rows if row["group"] == group]
        counted = {s for row in told for s in row["shape"].split("|") if s}
        out = {s for row in told for s in row["leaves_out"].split("|") if s}
        for shape in counted | out:
            both = shape in counted and shape in out
            member = "possibly" if both else "yes" if shape in counted else "no"
            for row in told:
                says = "names others only"
                if shape in row["shape"].split("|"):
                    says = "counts it in"
                elif shape in row["leaves_out"].split("|"):
                    says = "leaves it out"
                expected.add(
                    (f"group/{group}", f"shape/{shape}", member, "yes" if both else "no", says,
                     f"source/{row['source']}")
                )  # fmt: skip
    found = {
        (r["group"], r["shape"], r["member"], r["disputed"], r["says"], r["source"])
        for r in asked(snapshot, "groups-of-shapes")
    }
    assert found == expected
    assert {row[2] for row in found} == {"yes", "possibly"}


def test_redesigns_and_the_pieces_that_show_them_from_the_tables(snapshot: Snapshot) -> None:
    shows = {
        (redesign, f"piece/{row['piece']}", form)
        for row in likewise("pieces")
        for column, form in (("shows_redesign", "newer form"), ("shows_older_form", "older form"))
        for redesign in row[column].split("|")
        if redesign
    }
    expected = {
        (f"redesign/{row['redesign']}", f"shape/{row['shape']}", row["older"], row["newer"],
         f"{row['begin'][:4]}-01-01", f"{row['begin'][:4]}-12-31", f"{row['end'][:4]}-01-01",
         f"{row['end'][:4]}-12-31", piece, form)
        for row in current("redesigns")
        for redesign, piece, form in shows
        if redesign == row["redesign"]
    }  # fmt: skip
    columns = ("redesign", "shape", "older", "newer", "begun_from", "begun_by", "ended_from")
    columns = (*columns, "ended_by", "piece", "shows")
    assert {tuple(r[c] for c in columns) for r in asked(snapshot, "redesigns")} == expected
    assert len(expected) == 2
    assert asked(snapshot, "redesigns", shape="octavine") == []


def test_forms_that_came_instead_were_side_by_side_if_a_list_has_both(snapshot: Snapshot) -> None:
    (row,) = (row for row in current("substitutions") if row["came_form"])
    shapes = {s["shape"] for s in current("shapes") if s["pottery"] == "orrin"}
    assert row["within"] == "pottery/orrin"
    offering: dict[str, set[str]] = {}
    for offer in table("assortments"):
        if offer["shape"] in shapes:
            offering.setdefault(offer["form"], set()).add(offer["catalogue"])
    assert offering[row["came_form"]] & offering[row["instead_of_form"]] == {"ot-cat-1923"}
    (found,) = (r for r in asked(snapshot, "substitutions") if r["within"])
    assert found["side_by_side"] == "yes"
    assert found["came"].endswith("form/cream-soup")
    assert (found["since_from"], found["since_by"]) == ("1926-01-01", "1930-12-31")


def test_people_with_their_share_from_the_tables(snapshot: Snapshot) -> None:
    shares: dict[tuple[str, str, str], str] = {}
    for row in split("roles"):
        if row["work"]:
            key = (f"person/{row['person']}", f"role/{row['role']}", row["work"])
            shares[key] = row["share"] or shares.get(key, "")
    assert sum(map(bool, shares.values())) == 2
    found = {
        (r["person"], r["role"].removeprefix("https://w3id.org/glost/"), r["work"]): r["share"]
        for r in asked(snapshot, "people-and-works")
        if r["work"]
    }
    assert found == shares


def test_public_statements_from_the_tables(snapshot: Snapshot) -> None:
    withdrawn = {row["withdraws"]: row["columns"].split("|") for row in table("corrections")}

    def standing(used: str, columns: str) -> str:
        """A row of which other columns are withdrawn than those that were used is as current."""
        gone = withdrawn.get(used, ["-"])
        if not any(gone):
            return "withdrawn"
        if gone == ["-"] or (columns and not {*gone} & {*columns.split("|")}):
            return "current"
        return "withdrawn in part"

    expected = [
        (
            f"public-statement/{row['public_statement']}",
            f"source/{row['said_in']}",
            ", ".join(filter(None, (row["locator"], row["region"]))),
            row["wording"],
            f"claim/{used}",
            standing(used, row["used_columns"]),
        )
        for row in table("public_statements")
        for used in row["uses"].split("|")
    ]
    rows = asked(snapshot, "public-statements")
    assert sorted(tuple(row.values()) for row in rows) == sorted(expected)
    about = {f"public-statement/{r['public_statement']}" for r in table("public_statements")
             if "shape/tamsin" in r["about"].split("|")}  # fmt: skip
    some = asked(snapshot, "public-statements", thing="shape/tamsin")
    assert {row["statement"] for row in some} == about < {row["statement"] for row in rows}
    talk = asked(snapshot, "public-statements", publication="talk-2022")
    assert len(talk) == sum(row["said_in"] == "talk-2022" for row in table("public_statements"))


def test_errata_from_the_tables(snapshot: Snapshot) -> None:
    """A statement is overtaken where a cell it used is withdrawn and not said again in its place."""
    rows = {row["claim"]: row for name in ("treatments", "marks") for row in split(name)}
    corrections = {row["withdraws"]: row for row in table("corrections")}
    done = {(r["public_statement"], r["correction"]): r for r in table("errata") if r["done_on"]}
    common = {"source", "locator", "region", "certainty", "recorded_by", "recorded_on", "note",
              "claim"}  # fmt: skip
    talks = [row for row in split("sources") if row["kind"] == "talk"]
    coming = {row["source"] for row in talks if not row["date"]}
    expected = []
    for said in table("public_statements"):
        for used in said["uses"].split("|"):
            if used not in corrections:
                continue
            old, new = rows[used], rows[corrections[used]["replaced_by"]]
            columns = (
                said["used_columns"].split("|") if said["used_columns"] else old.keys() - common
            )
            withdrawn = set(filter(None, corrections[used]["columns"].split("|"))) or set(old)
            if not any(old[c] and old[c] != new[c] for c in withdrawn & set(columns)):
                continue
            erratum = done.get((said["public_statement"], corrections[used]["claim"]), {})
            expected.append(
                (
                    f"public-statement/{said['public_statement']}",
                    ".".join(filter(None, (f"correction/{used}", corrections[used]["columns"]))),
                    "put right"
                    if erratum
                    else "still to be said"
                    if said["said_in"] in coming
                    else "to be put right",
                    erratum.get("done_on", ""),
                )
            )
    assert len(expected) == 4 and coming
    found = [
        (r["statement"], r["correction"], r["standing"], r["done_on"])
        for r in asked(snapshot, "errata")
    ]
    assert sorted(found) == sorted(expected)
    open_ = {f.about[0].removeprefix(snapshot.record.base) for f in snapshot.findings("shacl")
             if f.kind == "erratum-not-published"}  # fmt: skip
    assert open_ == {s for s, _, standing, _ in expected if standing == "to be put right"}


def test_a_letter_known_from_a_book_is_no_second_witness(snapshot: Snapshot) -> None:
    """What the letter says alone rests on one witness; its source is told with the book."""
    (quoted,) = (row for row in split("sources") if row["quoted_in"])
    shares = {row["share"] for row in split("roles") if row["source"] == quoted["source"]}
    rows = asked(snapshot, "one-witness")
    assert shares <= {r["value"] for r in rows if r["source"] == f"source/{quoted['source']}"}


def test_what_is_stated_of_lists_is_borne_out_or_not(snapshot: Snapshot) -> None:
    """What is stated of marks is not counted; the rest is held against rows of lists."""
    found = [
        (r["of"], r["kind"], r["verdict"])
        for r in asked(snapshot, "stated-of-lists")
        if "mark" not in r["says"]
    ]
    expected = [each[:3] for each in stated_by_rows(snapshot, published_forms()).told()]
    assert len(expected) > 9
    assert sorted(found) == sorted(expected)
