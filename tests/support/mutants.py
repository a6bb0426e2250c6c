"""Files of every kind a collection is made of, broken at random and on purpose.

`mutant` gives for a seed and a number always the same files. What is tried on them stands in
`tried`.
"""

import io
import random
import re
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import polars as pl
from PIL import Image

from packed import packed, row
from shelf import SETTINGS, TABLES

TRIG = """PREFIX glost: <https://w3id.org/glost/ontology#>
PREFIX prov: <http://www.w3.org/ns/prov#>
PREFIX dcterms: <http://purl.org/dc/terms/>
<claim/x1> prov:hadPrimarySource <source/cat1908> ; glost:locator "p. 7" ; dcterms:created "2020-01-02" .
<claim/x1> { <piece/p9> a glost:Piece ; glost:ofShape <shape/alder> ; glost:feature "chip", "wear"@en .
  <shape/alder#begin> dcterms:date "1908~"^^<http://id.loc.gov/datatypes/edtf/EDTF> . }
<claim/x2> prov:hadPrimarySource <piece/p1> .
<claim/x2> { <treatment/a12> a glost:Treatment ; glost:treatmentNumber "A12" . }
"""
QUERY = """# a query
PREFIX ex: <http://example.org/>
SELECT ?s (COUNT(?o) AS ?n) (STR(?s) AS ?t) {
  ?s ?p ?o . OPTIONAL { ?s glost:name "x\\u00e9" } FILTER(?n > 1 || REGEX(STR(?o), "^a.*b$", "i"))
  { SELECT ?s { ?s a glost:Shape } } UNION { VALUES ?s { glost:a "b"@en 1.5e3 } }
} GROUP BY ?s ORDER BY DESC(?n) LIMIT 10
"""
TOML = SETTINGS + (
    'publisher = "P"\n[dates]\nmargin_years = 3\nwithout = ["shape-of-pottery"]\n'
    "[trust]\ncat1908 = 0.5\nletter = 2\n"
)
_STRINGS = "".join(f"<si><t>{word}</t></si>" for word in ("alder", "harrow", "Alder", "cat1908"))

VALLEY = Path(__file__).parents[2] / "examples" / "wend-valley"
"""The larger example."""

PIECES = tuple(
    text.encode("utf-8", "surrogatepass")
    for text in (
        "\x00", "\x1b[31m", "\x07", "\x9b", "\r", "\n", "\r\n", "\t", "\u2028", "\u202e", "\u200b", "\ufeff",
        "\uffff", "\ud800", "٣", "²", "Ａ", "Аlder", "e\u0301", "9" * 19, "9" * 50, "9" * 5000, "-1", "1e999999", "nan",
        "inf", "0x1F", "=1+1", "@x", "'=x", '"', "'", '""', '"""', ",", ";", "|", "||", "/", "..", "../../etc/passwd",
        "%zz", "%00", "%", "http://[/", "javascript:alert(1)", "file:///etc/passwd", "{", "}", "[" * 300, "(" * 3000,
        "<<( " * 3000, "<<(" * 90, "{|", "[dates]", "a.b." * 500, "x" * 5000, "word " * 7000, "x" * 140_000,
        "," * 3000, "\n" * 3000, "a,b\n" * 2000, "<!--", "<![CDATA[", "<!DOCTYPE x [<!ENTITY a \"b\">]>&a;", "&#0;",
        "&#x1b;", "_x001B_", "1908/", "[1908,", "{1908..", "Y99999999999999", "-0000", "19XX-XX-XX", "1908-13", "1911~?%",
        "0000-00-00", "Y1E12", "1908S5", "../1908", "xywh=1,2,3,4", "xywh=percent:0,0,9e9,1", "xywh=" + "9" * 30 + ",1,1,1",
        "355 ft", "12 ft 6 in", "9/0 in", "9 7/8 in", "1" * 30 + " ft", "36s", "round 12 in x", "year/", "?" * 40,
        "letter", "alder", "birch", "cat1908", "p1", "withdraws", "SERVICE <http://e.org/> {", "LOAD <x>", "# ",
        "ORDER BY ", "!" * 500, "+ 1" * 800, "UNION {} " * 300, "^" * 300, "<x:a>/" * 300, "\\u0000", "\\U0010FFFF", "\\uD800",
        "GRAPH ?g {", "_:b", "^^xsd:integer", "@en-" + "a" * 400, "true", "yes", "1", "", " ",
    )
)  # fmt: skip
"""What is put in anywhere."""

Chance = random.Random


@dataclass(frozen=True)
class Mutant:
    """Broken files of a collection.

    Attributes
    ----------
    kind
        What was broken: ``csv``, ``tsv``, ``xlsx``, ``parquet``, ``trig``, ``toml``, ``image``, ``query``, or
        ``valley``, a table of the larger example, which has one of every kind.
    files
        Content by path; they take the place of sound ones.
    """

    kind: str
    files: dict[str, bytes]


def mutant(seed: int, number: int, only: str = "") -> Mutant:
    """Make one mutant; `only` is a kind, or empty for any."""
    chance = random.Random(f"{seed} {number}")
    kind = only or chance.choices(list(_KINDS), [weight for weight, _ in _KINDS.values()])[0]
    return Mutant(kind, _KINDS[kind][1](chance))


def _octets(chance: Chance, data: bytes) -> bytes:
    """Change octets: put in, take out, repeat, cut short, turn over, encode otherwise."""
    changed = bytearray(data)
    for _ in range(chance.choice((1, 1, 1, 2, 3, 8))):
        at = chance.randrange(len(changed) + 1)
        to = min(len(changed), at + chance.choice((1, 1, 3, 20, 200)))
        match chance.randrange(9):
            case 0 | 1 | 2:
                changed[at:at] = chance.choice(PIECES)
            case 3:
                changed[at:to] = chance.choice(PIECES)
            case 4:
                del changed[at:to]
            case 5:
                changed[at:at] = bytes(changed[at:to]) * chance.choice((1, 2, 50))
            case 6:
                changed[at:to] = chance.randbytes(to - at)
            case 7:
                if changed:
                    changed[at % len(changed)] ^= 1 << chance.randrange(8)
            case _:
                if chance.random() < 0.3:
                    del changed[at:]
    if chance.random() < 0.04:
        code = chance.choice(("utf-16", "utf-32", "latin-1", "utf-8-sig", "cp037"))
        return bytes(changed).decode("utf-8", "replace").encode(code, "replace")
    if chance.random() < 0.03:
        return bytes(changed).replace(b"\n", chance.choice((b"\r", b"\r\n", b"\n\r")))
    return bytes(changed)


def _cells(chance: Chance, text: str) -> bytes:
    """Change whole cells, rows and columns of a table."""
    rows = [line.split(",") for line in text.splitlines()]
    for _ in range(chance.choice((1, 1, 2, 5))):
        line = chance.choice(rows)
        match chance.randrange(7):
            case 0 | 1 | 2 | 3:
                word = chance.choice(PIECES).decode("utf-8", "replace")
                line[chance.randrange(len(line))] = f'"{word}"' if chance.random() < 0.5 else word
            case 4:
                rows.append(list(line))
            case 5:
                chance.shuffle(line)
            case _:
                line.append(chance.choice(line))
    return "\n".join(map(",".join, rows)).encode("utf-8", "replace") + b"\n"


def _csv(chance: Chance) -> dict[str, bytes]:
    name = chance.choice(list(TABLES))
    made = _cells(chance, TABLES[name]) if chance.random() < 0.5 else TABLES[name].encode()
    broken = made if chance.random() < 0.35 else _octets(chance, made)
    return {f"tables/{name}.csv": broken}


def _valley(chance: Chance) -> dict[str, bytes]:
    path = chance.choice(sorted((VALLEY / "tables").glob("*.csv")))
    lines = path.read_text(encoding="utf-8").splitlines()
    at = chance.randrange(1, len(lines))
    line = lines[at].split(",")
    for _ in range(chance.choice((1, 1, 2))):
        word = chance.choice(PIECES).decode("utf-8", "replace")
        line[chance.randrange(len(line))] = word
    lines[at] = ",".join(line)
    return {f"tables/{path.name}": "\n".join(lines).encode("utf-8", "replace") + b"\n"}


def _tsv(chance: Chance) -> dict[str, bytes]:
    name = chance.choice(["shapes", "flatware", "potteries"])
    text = TABLES[name].replace(",", "\t").encode()
    return {f"tables/{name}.csv": b"", f"tables/{name}.tsv": _octets(chance, text)}


@cache
def _book() -> bytes:
    lines = [line.split(",") for line in TABLES["shapes"].splitlines()]
    cells = "".join(row(n, *line) for n, line in enumerate(lines, 1))
    cells += row(4, '<c t="s"><v>0</v></c>', '<c t="s"><v>1</v></c>', '<c s="1"><v>123</v></c>',
                 '<c s="2"><v>3045</v></c>', "", '<c t="s"><v>3</v></c>', "<c><f>A1</f><v>5</v></c>")  # fmt: skip
    return packed(cells, formats=("000", "yyyy-mm-dd"), strings=_STRINGS)


def _xlsx(chance: Chance) -> dict[str, bytes]:
    data = _book()
    if chance.random() < 0.35:
        data = _octets(chance, data)
    else:
        out = io.BytesIO()
        with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", 8) as new:
            broken = chance.choice(old.namelist())
            for part in old.namelist():
                content = old.read(part)
                if part == broken:
                    content = (
                        _marks(chance, content)
                        if chance.random() < 0.6
                        else _octets(chance, content)
                    )
                if part != broken or chance.random() > 0.05:
                    new.writestr(part, content)
        data = out.getvalue()
    return {"tables/shapes.csv": b"", "tables/shapes.xlsx": data}


def _parquet(chance: Chance) -> dict[str, bytes]:
    """Change octets of a table in Parquet, or cells before it is made."""
    rows = [line.split(",") for line in TABLES["shapes"].splitlines()]
    if sound := chance.random() < 0.3:
        chance.choice(rows)[chance.randrange(5)] = chance.choice(PIECES).decode("utf-8", "ignore")
    names = [f"{name}{at}" if rows[0].count(name) > 1 else name for at, name in enumerate(rows[0])]
    out = io.BytesIO()
    pl.DataFrame(dict(zip(names, zip(*rows[1:], strict=True), strict=True))).write_parquet(out)
    data = out.getvalue() if sound else _octets(chance, out.getvalue())
    return {"tables/shapes.csv": b"", "tables/shapes.parquet": data}


def _marks(chance: Chance, text: bytes) -> bytes:
    """Change what stands in quotation marks, or a number, so that the XML stays one."""
    places = list(re.finditer(rb'"([^"]*)"|>([^<]+)<', text))
    for found in chance.sample(places, min(len(places), chance.choice((1, 1, 3)))):
        new = chance.choice(
            (
                *PIECES,
                b"A1048577",
                b"XFD1",
                b"1048576",
                b"99999999",
                b"-5",
                b"1e400",
                b"e",
                b"str",
                b"d",
            )
        )
        new = re.sub(rb'[<>&"\x00-\x08\x0b-\x1f]', b"", new)
        if found.end() <= len(text):
            text = text[: found.start() + 1] + new + text[found.end() - 1 :]
    return text


def _trig(chance: Chance) -> dict[str, bytes]:
    words = TRIG.split(" ")
    if chance.random() < 0.4:
        at = chance.randrange(len(words))
        words[at] = chance.choice(
            (
                *words,
                "[]",
                "( 1 2 )",
                '"x"',
                "5",
                "true",
                "<<( <x:a> <x:b> <x:c> )>>",
                "<source/nobody>",
            )
        )
        return {"more.trig": " ".join(words).encode()}
    return {"more.trig": _octets(chance, TRIG.encode())}


def _toml(chance: Chance) -> dict[str, bytes]:
    if chance.random() < 0.4:
        lines = TOML.splitlines()
        at = chance.randrange(len(lines))
        name = lines[at].partition("=")[0]
        value = chance.choice((b"1", b"-1", b"1e9", b"inf", b"nan", b"true", b"[]", b"{}", b"[[1]]", b"1979-05-27", b'"x"',
                               b"99999999999999999", b"'''x", b"[1,'a']", b"{a.b.c=1}", *PIECES))  # fmt: skip
        lines[at] = f"{name}= {value.decode('utf-8', 'replace')}"
        return {"collection.toml": "\n".join(lines).encode("utf-8", "replace")}
    return {"collection.toml": _octets(chance, TOML.encode())}


@cache
def _pictures() -> dict[str, bytes]:
    made = {}
    for kind in ("png", "jpeg", "gif", "webp"):
        out = io.BytesIO()
        Image.linear_gradient("L").resize((24, 16)).convert("RGB").save(out, kind)
        made[kind] = out.getvalue()
    return made


def _image(chance: Chance) -> dict[str, bytes]:
    kind = chance.choice(list(_pictures()))
    data = _pictures()[kind]
    ending = kind if chance.random() < 0.9 else "png"
    return {f"images/broken.{ending}": _octets(chance, data)}


def _query(chance: Chance) -> dict[str, bytes]:
    return {"query.rq": _octets(chance, QUERY.encode())}


_KINDS: dict[str, tuple[int, Callable[[Chance], dict[str, bytes]]]] = {
    "csv": (32, _csv),
    "tsv": (5, _tsv),
    "xlsx": (20, _xlsx),
    "parquet": (6, _parquet),
    "trig": (14, _trig),
    "toml": (12, _toml),
    "image": (7, _image),
    "query": (10, _query),
    "valley": (3, _valley),
}
