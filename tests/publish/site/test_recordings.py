"""Pages of claims that rest on a recording lead to the stretch they rest on."""

from pathlib import Path

from glost.answer.snapshot import Snapshot
from glost.publish.site.publish import publish
from shelf import write

SOURCES = (
    "source,title,kind,date,address\n"
    "tape,[Tape],recording,1962,https://example.org/tapes/7.ogg\ncat1908,C,catalogue,1908,\n"
)
SHAPES = 'shape,pottery,name,source,region,claim\nalder,harrow,Alder,tape,"t=403,425",heard\n'


def test_a_page_leads_to_the_stretch_of_the_recording(tmp_path: Path) -> None:
    bare = dict.fromkeys(("flatware", "treatments", "pieces", "assortments"), "")
    folder = write(tmp_path / "shelf", sources=SOURCES, shapes=SHAPES, **bare)
    publish(Snapshot(folder), tmp_path / "site")
    page = (tmp_path / "site" / "claim" / "heard.html").read_text(encoding="utf-8")
    assert 'href="https://example.org/tapes/7.ogg#t=403,425"' in page
    assert "6:43 to 7:05</a>" in page
