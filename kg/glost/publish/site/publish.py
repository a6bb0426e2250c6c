"""A collection made into a site: every file of it, and the folder they are written to."""

import gc
import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from glost.answer.desk import Desk
from glost.publish.data.whole import data_files
from glost.publish.iiif.manifests import manifests
from glost.publish.site.entities import Entities
from glost.publish.site.findings import finding_pages
from glost.publish.site.folder import Written, check, write_site
from glost.publish.site.frame import HERE, Frame
from glost.publish.site.holdings import Holdings
from glost.publish.site.lists import Lists
from glost.publish.site.others import Others
from glost.publish.site.paths import MARKER
from glost.publish.site.questions import question_pages
from glost.publish.site.search import search_files
from glost.publish.site.vocabulary import vocabulary_pages


def publish(desk: Desk, folder: Path, validator: str = "pyshacl") -> Written:
    """Publish a collection: a site of pages, with its data beside them.

    Parameters
    ----------
    desk
        The collection.
    folder
        A folder that is new, empty, or holds an earlier site of the same collection. Only files
        that change are written; files of an earlier site that are no more are deleted.
    validator
        Which SHACL validator looks for findings; see `glost.answer.findings.find`.

    Returns
    -------
    Written
        What was written, left as it was and removed.

    Raises
    ------
    RecordErrors
        If the collection cannot be read, or the folder holds anything else.
    """
    check(folder, desk.record.base)
    with _undisturbed():
        holdings = Holdings(desk, desk.findings(validator))
        return write_site(folder, desk.record.base, site_files(holdings))


def site_files(holdings: Holdings) -> Iterator[tuple[str, bytes]]:
    """Yield the path and content of every file of a site."""
    desk = holdings.desk
    frame = Frame.of(holdings)
    entities = Entities(holdings, frame)
    others, lists = Others(entities), Lists(entities)
    yield MARKER, _marker(holdings, frame)
    for path in sorted((HERE / "assets").iterdir()):
        yield f"assets/{path.name}", path.read_bytes()
    for file, picture in entities.images.all.items():
        yield file, picture.path.read_bytes()
    desk.progress("pages of things")
    yield from entities.things()
    desk.progress("pages of claims")
    yield from others.claims()
    yield from others.passages()
    yield from others.recorders()
    yield from others.graphs()
    desk.progress("lists, questions, findings")
    yield from lists.all()
    yield from lists.front()
    yield from question_pages(entities)
    yield from finding_pages(entities)
    yield from vocabulary_pages(entities)
    yield from search_files(entities, lists)
    desk.progress("pictures")
    yield from entities.drawings.files()
    desk.progress("data")
    yield from data_files(holdings, frame, entities.images)
    yield from manifests(holdings, frame, entities.images)


def _marker(holdings: Holdings, frame: Frame) -> bytes:
    told = {
        "site": 1,
        "base": holdings.base,
        "title": frame.title,
        "exceptions": dict(sorted(holdings.addresses.exceptions.items())),
    }
    return (json.dumps(told, indent=1, ensure_ascii=False) + "\n").encode()


@contextmanager
def _undisturbed() -> Iterator[None]:
    """Keep the collector of cycles from looking through the record again and again."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()
