"""The rules for web servers, as regular expressions; servers themselves are in tests/clients."""

import re
from urllib.parse import quote

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from glost.publish.data.media import MEDIA, OFFERED
from glost.publish.data.servers import FILES, rules
from glost.publish.endpoint.negotiate import choose
from glost.publish.site.paths import DATA

BASE = "https://example.org/wend/"
LINES = {
    "apache.htaccess": re.compile(r'SetEnvIfNoCase Accept "(.*)" GLOST_ENDING=(\.\w+)'),
    "nginx-maps.conf": re.compile(r'    "~\*(.*)" (\.\w+);'),
    "Caddyfile": re.compile(r"\t\t`~\(\?i\)(.*)` (\.\w+)"),
}
"""How each kind of server is told a pattern and what it leads to."""
ODD = (
    'plate.9"', "Ångström", "釉", "½ oz, hot", "a\\b", "c:d", "50% off", "what?", "tag#1", "{curly}",
    "$dollar", "semi;colon", "it's", "a/b", "[brackets]", "(paren)|pipe^", "end.", "~.*",
)  # fmt: skip
TYPES = [*OFFERED.values(), "*/*", "image/png", "application/n-triples"]


def written(exceptions: dict[str, str] | None = None) -> dict[str, str]:
    """Return the files of rules by name."""
    files = dict(rules(BASE, exceptions or {}))
    assert list(files) == [f"data/{name}" for name in FILES]
    return {path.removeprefix("data/"): content.decode() for path, content in files.items()}


def preferred(name: str, text: str) -> list[tuple[re.Pattern[str], str]]:
    """Return the patterns of a file, the one that goes before the others first."""
    found = [match.groups() for line in text.splitlines() if (match := LINES[name].fullmatch(line))]
    if name == "apache.htaccess":
        found.reverse()
    return [(re.compile(pattern, re.IGNORECASE), ending) for pattern, ending in found]


def first(name: str, header: str) -> str:
    """Return the ending that a file of rules leads a header to."""
    return next((end for pattern, end in PATTERNS[name] if pattern.search(header)), ".html")


PATTERNS = {name: preferred(name, text) for name, text in written().items() if name in LINES}


@pytest.mark.parametrize("name", list(LINES))
@given(
    ranges=st.lists(
        st.tuples(st.sampled_from(TYPES), st.integers(0, 10)), unique_by=lambda each: each[0]
    ),
    space=st.sampled_from(["", " "]),
    loud=st.booleans(),
)
def test_a_header_leads_where_the_endpoint_leads(
    name: str, ranges: list[tuple[str, int]], space: str, loud: bool
) -> None:
    """RFC 9110, section 12.5.1, as `negotiate.choose` has it, for weights of one decimal."""
    weights = dict(ranges)
    assume(weights.get("*/*", 0) <= weights.get("text/html", 10))
    parts = [
        f"{media}{space};{space}q={tenth / 10:g}" if tenth < 10 else media
        for media, tenth in ranges
    ]
    header = f",{space}".join(parts)
    header = header.upper() if loud else header
    chosen = choose(header, list(OFFERED.values())) or "text/html"
    assert OFFERED[first(name, header)] == chosen


@pytest.mark.parametrize("name", list(LINES))
def test_a_page_is_a_page_by_either_name(name: str) -> None:
    assert first(name, "application/xhtml+xml, text/turtle;q=0.9") == ".html"
    assert first(name, "application/xhtml+xml;q=0.8, text/turtle;q=0.9") == ".ttl"


def test_every_server_knows_as_many_preferences() -> None:
    """One weight without a number and nine with; the page, what stands beside it, and anything."""
    counts = {len(patterns) for patterns in PATTERNS.values()}
    assert counts == {10 * (len(DATA) + 2)}


def test_exceptional_identifiers_are_told_each_server() -> None:
    """A pattern fits the decoded path it stands for and none of the others."""
    told = written(
        {f"{BASE}article/{quote(odd, safe='')}": f"other/{n}" for n, odd in enumerate(ODD)}
    )
    paths = [f"article/{odd}" for odd in ODD]
    apache = re.findall(r"(?m)^RewriteRule (\S+) other/(\d+)%\{ENV", told["apache.htaccess"])
    caddy = re.findall(r"(?m)^\t\t`~(\S+)` /wend/other/(\d+)$", told["Caddyfile"])
    nginx = re.findall(
        r'(?m)^location = "(.*)" \{$(?:\n    add_header.*)+\n    return 303 /wend/other/(\d+)\$glost',
        told["nginx.conf"],
    )
    assert len(apache) == len(caddy) == len(nginx) == len(ODD)
    for pattern, number in apache:
        fits = [path for path in paths if re.search(pattern.encode(), path.encode())]
        assert fits == [paths[int(number)]]
    for pattern, number in caddy:
        assert [p for p in paths if re.search(pattern, f"/wend/{p}")] == [paths[int(number)]]
    for text, number in nginx:
        assert re.sub(r"\\(.)", r"\1", text) == f"/wend/{paths[int(number)]}"


@pytest.mark.parametrize(
    "rest", ["article/a%2F..%2Fb", "article/%2E%2E/x", "article/a%0Ab", "article//a", "x/%FF", "x/"]
)
def test_what_servers_cannot_tell_apart_is_left_out(rest: str) -> None:
    for text in written({BASE + rest: "other/unlikely"}).values():
        assert "other/unlikely" not in text
    told = written({BASE + "article/a%20b": "other/likely", BASE + rest: "other/unlikely"})
    assert sum("other/likely" in text for text in told.values()) == 3


def test_rules_for_a_collection_at_the_top_of_a_host() -> None:
    files = dict(rules("https://wend.example.org/", {}))
    assert b"RewriteBase /\n" in files["data/apache.htaccess"]
    assert b"location / {" in files["data/nginx.conf"]
    assert b"handle /* {" in files["data/Caddyfile"]


def test_texts_say_how_they_are_encoded() -> None:
    """The registration of text/turtle: charset "is required when transfering non-ASCII data"."""
    assert MEDIA[".ttl"] == "text/turtle; charset=utf-8"
    for ending, media in OFFERED.items():
        assert MEDIA[ending].partition(";")[0] == media
    for media in MEDIA.values():
        assert media.startswith("text/") == media.endswith("; charset=utf-8")
