"""Claims back into tables; corrections and new collections written to disk."""

import json
from pathlib import Path

import pytest

from glost.publish.exports import write_tables
from glost.record.correcting import correct
from glost.record.errors import RecordErrors
from glost.record.record import Record, read
from glost.record.starting import begin
from glost.record.tables import tables
from glost.record.writing import rows_of, trig_text
from shelf import TABLES, write


def content(record: Record) -> dict[str, object]:
    return {
        claim.id: (
            frozenset(claim.statements),
            claim.passage,
            claim.certainty,
            claim.recorded_by,
            claim.recorded_on,
            claim.note,
        )
        for claim in record.claims
    }


FULL = {
    "places": "place,name,other_names,within,source\nferry,Ferry,The Ferry,vale,letter\nvale,Vale,,,letter\n",
    "institutions": "institution,name,in_place,source\nsociety,Vale Society,ferry,letter\n",
    "people": "person,name,other_names,source,recorded_by\njo,Jo Fell,J. Fell|Joe Fell,letter,M. Orr\n",
    "roles": "person,role,at,work,share,begin,end,source\n"
    "jo,designer,harrow,shape/alder,most of it,1907,1912~,letter\n",
    "plants": "plant,pottery,number,in_place,source\nold,harrow,1,ferry,letter\n",
    "kilns": "kiln,plant,kind,firing,count,length,output,replaces,source\n"
    "k1,old,periodic,bisque|glost,several,,,,letter\n"
    "k2,old,tunnel,glost,,12' 6\",over 90 dozen a day,k1,letter\n",
    "flatware": "shape,with,begin,end,source\nalder,birch,1908,1912~,letter\n",
    "kiln_zones": "kiln,zone,order,length,source\nk2,preheating,1,100 ft,letter\n",
    "articles": "shape,form,trade_size,variant,measured,produced,source\n"
    "alder,plate,8,pierced,9 7/8 in,no,letter\n",
    "lineage": "thing,copied_from,redesigned_from,like,hardly_told_from,source\n"
    "shape/birch,,shape/alder,,,letter\nshape/birch,,,shape/alder,,p2\n"
    "shape/birch,,,,shape/alder,letter\n",
    "groups": "group,name,shape,leaves_out,source\npair,The pair,alder|birch,,letter\n"
    "pair,,alder,birch,p2\n",
    "redesigns": "redesign,name,shape,form,older,newer,begin,end,source\n"
    "spout,Spout,alder,teapot,low,high,1908~,1909,letter\n",
    "substitutions": "came,instead_of,came_form,instead_of_form,within,begin,source\n"
    "shape/birch,shape/alder,,,,,letter\n,,cream-soup,bouillon-cup,pottery/harrow,1911~,letter\n",
    "public_statements": "public_statement,said_in,wording,about,uses,used_columns,region,source,place_in_talk\n"
    'said,cat1908,Alder was first.,shape/alder|pottery/harrow,b7-as-printed,name|number,"t=1,2",,2\n'
    "also,cat1908,So it was.,,,,,letter,\n",
    "remarks": "remark,on,text,source\nseven,b7-as-printed,It may be a 1.,letter\n",
    "errata": "public_statement,correction,done_on,published_in,wording\n"
    "said,b7-as-printed,2020-01-01,cat1911,It was not.\n",
    "links": "one,one_elsewhere,kind,other,other_elsewhere,evidence,source\n"
    "shape/birch,,same,shape/alder,,One rim.,letter\n"
    "shape/birch,,not-the-same,,https://b.example/offering/a%2Fb.é?c=d%25#e,,letter\n"
    ",https://b.example/shape/x,part-of,shape/alder,,,letter\n",
    "matches": "thing,relation,match,name_there,evidence,source\n"
    "shape/birch,close,https://names.example.org/n%C3%A9/417#it,Birch (ware),One rim.,letter\n",
    "sequences": "thing,thing_point,relation,other,other_point,at_least,source\n"
    "shape/birch,begin,after,shape/alder,end,1,letter\n",
    "code_schemes": "scheme,pottery,codes,pattern,source\nnums,harrow,treatment-number,{line}{run},letter\n",
    "code_parts": "scheme,part,value,means,thing,digits,only_in,also,source\n"
    "nums,line,A,shape,shape/alder,,,,letter\nnums,run,,running-number,,2 digits,,,letter\n"
    "nums,line,A,shape,shape/birch,,A12;run=14..19,yes,letter\n",
    "absences": "of,lacks,form,trade_size,after,source\n"
    "pottery/harrow,article,egg cup,,alder,letter\npottery/harrow,mark,,,,letter\n"
    "source/cat1908,article,teapot,24s,,letter\n",
    "superlatives": "of,superlative,form,source\nshape/alder,last,egg cup,letter\n"
    "pottery/harrow,only,egg cup,letter\nshape/alder,most,,letter\n",
    "totals": "of,counted,form,ware,date,number,up_to,about,proportion,than,than_date,source\n"
    "shape/alder,articles,,flatware,/1914,60,70,yes,,,,letter\n"
    "shape/birch,sizes,jug,,,,,,2/3,shape/alder,1908,letter\n",
    "marks": "mark,pottery,wording,applied,scheme,image,source\nm1,harrow,HARROW / MADE,impressed,,a b.png,letter\n",
    "glaze_articles": "glaze,shape,form,only,description,source\n"
    "moss,alder,teapot|saucer,yes,On these alone.,letter\n",
    "glazes": "glaze,name,source\nmoss,Moss,letter\n",
    "terms": "scheme,term,name,broader,source\nform,whimsey,Whimsey,flatware,letter\n",
    "corrections": "withdraws,reason,source,recorded_on\nb7-as-printed,no such number,p2,2001-01-01\n",
}


def test_tables_written_back_give_the_same_claims(tmp_path: Path) -> None:
    record = read(write(tmp_path / "c", **FULL))
    described = {claim.origin.table for claim in record.claims}
    write_tables(record, tmp_path / "back")
    assert not (tmp_path / "back" / "claims.trig").exists()
    again = read(tmp_path / "back")
    assert content(again) == content(record)
    assert described == {path.stem for path in (tmp_path / "back" / "tables").glob("*.csv")}


def test_claims_read_from_trig_become_rows_again(tmp_path: Path) -> None:
    record = read(write(tmp_path / "c", **FULL))
    trig = tmp_path / "trig"
    trig.mkdir()
    settings = (tmp_path / "c" / "collection.toml").read_text(encoding="utf-8")
    (trig / "collection.toml").write_text(settings, encoding="utf-8")
    (trig / "all.trig").write_text(trig_text(record, record.claims), encoding="utf-8")
    from_trig = read(trig)
    assert content(from_trig) == content(record)
    rows, left = rows_of(from_trig, from_trig.claims)
    assert left == []
    assert sum(map(len, rows.values())) == len(record.claims)
    write_tables(from_trig, tmp_path / "back")
    assert content(read(tmp_path / "back")) == content(record)


def test_a_claim_that_fits_no_table_stays_trig(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    (folder / "odd.trig").write_text(
        "@prefix prov: <http://www.w3.org/ns/prov#> .\n"
        "<claim/odd> prov:hadPrimarySource <source/letter> .\n"
        "<claim/odd> { <shape/alder> <http://xmlns.com/foaf/0.1/page> <source/letter> }\n",
        encoding="utf-8",
    )
    record = read(folder)
    write_tables(record, tmp_path / "back")
    assert (tmp_path / "back" / "claims.trig").exists()
    assert content(read(tmp_path / "back")) == content(record)


def test_tables_are_never_written_over_something(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    record = read(folder)
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    with pytest.raises(RecordErrors, match="the folder is not empty"):
        write_tables(record, folder)
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before


def test_a_new_collection_holds_every_template_and_takes_a_first_row(tmp_path: Path) -> None:
    begin(tmp_path / "new", "Mine", "https://example.org/mine/")
    assert read(tmp_path / "new").claims == ()
    names = {path.stem for path in (tmp_path / "new" / "tables").glob("*.csv")}
    assert names == set(tables())
    guide = (tmp_path / "new" / "GUIDE.md").read_text(encoding="utf-8")
    for table in tables().values():
        for column in table.real:
            assert f"`{column.name}`" in guide
    sources = tmp_path / "new" / "tables" / "sources.csv"
    cells = {"source": "first", "title": "A card"}
    header = sources.read_text(encoding="utf-8").strip().split(",")
    sources.write_text(
        ",".join(header) + "\n" + ",".join(cells.get(h, "") for h in header) + "\n",
        encoding="utf-8",
    )
    assert [claim.origin.table for claim in read(tmp_path / "new").claims] == ["sources"]


def test_beginning_where_there_is_a_collection_changes_nothing(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    before = sorted(path for path in folder.rglob("*"))
    with pytest.raises(RecordErrors, match="already has it"):
        begin(folder, "Mine", "https://example.org/mine/")
    assert sorted(path for path in folder.rglob("*")) == before


GROUNDS = {"reason": "misread", "source": "p2", "locator": "foot", "recorded_on": "2005-01-01"}


def test_a_correction_is_two_rows_and_one_new_belief(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    record = read(folder)
    claim = record.claim("b7-as-printed")
    assert claim is not None
    done = correct(record, claim, {"number": "B17"}, GROUNDS)
    assert done.files == ("tables/corrections.csv", "tables/treatments.csv")
    after = read(folder)
    assert {c.id for c in after.claims} >= {c.id for c in record.claims}
    replacement = after.claim(done.replacement)
    assert replacement is not None
    assert str(replacement.passage.source).endswith("piece/p2")
    assert (done.columns, list(after.believed().parts)) == (("number",), [claim.iri])
    with pytest.raises(RecordErrors, match="withdrawn already"):
        correct(after, claim, {"number": "B71"}, GROUNDS)


def test_a_correction_keeps_delimiter_byte_order_mark_and_line_ends(tmp_path: Path) -> None:
    folder = write(tmp_path / "c")
    path = folder / "tables" / "treatments.csv"
    text = TABLES["treatments"].replace(",", ";").replace("\n", "\r\n")
    path.write_bytes(b"\xef\xbb\xbf" + text.encode())
    record = read(folder)
    claim = record.claim("b7-as-printed")
    assert claim is not None
    correct(record, claim, {"number": "B17"}, GROUNDS)
    data = path.read_bytes()
    assert data.startswith(b"\xef\xbb\xbf") and data.count(b"\r\n") == data.count(b"\n") == 4
    assert data.splitlines()[-1] == b"b7;;B17;;;p2;foot;;yes;2005-01-01"


@pytest.mark.parametrize(
    ("changes", "grounds", "expected"),
    [
        ({"numbr": "B17"}, GROUNDS, 'did you mean "number"?'),
        ({"decal": "nosuch"}, GROUNDS, 'nothing describes "nosuch"'),
        ({"number": "B17"}, {**GROUNDS, "source": "nosuch"}, 'nothing describes "nosuch"'),
        ({"begin": "then"}, GROUNDS, "is not an EDTF date"),
        ({"number": "B17"}, {**GROUNDS, "reason": ""}, "column reason: the cell is empty"),
    ],
)
def test_a_bad_correction_changes_nothing(
    tmp_path: Path, changes: dict[str, str], grounds: dict[str, str], expected: str
) -> None:
    folder = write(tmp_path / "c")
    record = read(folder)
    claim = record.claim("b7-as-printed")
    assert claim is not None
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    with pytest.raises(RecordErrors) as caught:
        correct(record, claim, changes, grounds)
    assert expected in str(caught.value)
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before


def test_metadata_beside_written_tables_describes_them(tmp_path: Path) -> None:
    write_tables(read(write(tmp_path / "c", **FULL)), tmp_path / "back")
    folder = tmp_path / "back" / "tables"
    metadata = json.loads((folder / "csvw-metadata.json").read_text(encoding="utf-8"))
    assert {table["url"] for table in metadata["tables"]} == {p.name for p in folder.glob("*.csv")}
