"""The language a source is in, and so what is quoted from it (BCP 47)."""

from pathlib import Path

import pytest
from rdflib import Literal, URIRef
from rdflib.namespace import DC

from glost.answer.snapshot import Snapshot
from glost.publish.site.holdings import SiteContents
from glost.publish.site.schema_org import schema
from glost.record.errors import RecordErrors
from glost.record.record import read
from shelf import TABLES, write

SOURCE = URIRef("https://example.org/shelf/source/cat1908")


def shelf(tmp_path: Path, tags: str) -> Path:
    head, *rows = TABLES["sources"].splitlines()
    cells = [f"{head},language", f"{rows[0]},{tags}", *(f"{row}," for row in rows[1:])]
    return write(tmp_path / "shelf", sources="\n".join(cells) + "\n")


def test_a_source_says_in_which_languages_it_is(tmp_path: Path) -> None:
    record = read(shelf(tmp_path, "de|en-GB"))
    said = set(record.believed().graph.objects(SOURCE, DC.language))
    assert said == {Literal("de"), Literal("en-GB")}
    told = schema(SiteContents(Snapshot.of(record), ()), str(SOURCE))
    assert '"inLanguage": ["de", "en-GB"]' in told


@pytest.mark.parametrize("tag", ["German!", "d", "de_AT"])
def test_what_is_no_tag_of_a_language_is_an_error(tmp_path: Path, tag: str) -> None:
    with pytest.raises(RecordErrors, match=r"sources\.csv, row 2, column language"):
        read(shelf(tmp_path, tag))
