"""A site as `glost publish` makes it, read by the endpoint."""

from pathlib import Path

import pyoxigraph as ox
import pytest

from glost.answer.dataset import quads
from glost.answer.snapshot import Snapshot
from glost.publish.endpoint.static import NoSite, Published
from glost.publish.site.holdings import SiteContents
from glost.publish.site.publish import publish
from shelf import TABLES, write

ODD = "con,harrow,Odd,1910,,cat1908,p. 3,certain\nALDER,harrow,Other,1910,,cat1908,p. 3,\n"


def test_every_identifier_of_a_published_site_is_found(tmp_path: Path) -> None:
    snapshot = Snapshot(write(tmp_path / "shelf", shapes=TABLES["shapes"] + ODD))
    publish(snapshot, tmp_path / "site")
    published = Published(tmp_path / "site")
    assert (published.base, published.title) == (snapshot.record.base, "A shelf")
    stems = SiteContents(snapshot, ()).addresses.stems
    assert len(stems) > 30
    for iri, stem in stems.items():
        assert published.files(iri.removeprefix(snapshot.record.base)) == stem
    assert published.files("shape/nothing") is None
    published.load(tmp_path / "store")
    store = ox.Store.read_only(str(tmp_path / "store"))
    assert len(store) == len(set(quads(snapshot.contents)))


def test_a_folder_that_holds_no_site_says_so(tmp_path: Path) -> None:
    with pytest.raises(NoSite, match="holds no published site"):
        Published(tmp_path)
    (tmp_path / "glost-site.json").write_text('{"base": "https://example.org/x/"}')
    with pytest.raises(NoSite, match="publish the collection again"):
        Published(tmp_path).load(tmp_path / "store")
