"""An endpoint on loopback for tests, in a process of its own, with limits that are soon met."""

import json
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, replace
from hashlib import sha256
from pathlib import Path

from glost.answer.dataset import quads
from glost.answer.snapshot import Snapshot
from glost.publish.data.descriptions import void_and_dcat
from glost.publish.data.facts import StatementCounts
from glost.publish.endpoint.limits import Limits
from glost.publish.exports import rdf_bytes
from glost.publish.site.frame import PageFrame
from glost.publish.site.holdings import SiteContents

TOP = Path(__file__).resolve().parents[2]
PATHS = [str(TOP / "kg"), str(TOP / "cli")]
BRIEF = Limits(
    workers=3,
    slow=1,
    patience=0.3,
    seconds=1.0,
    memory=192 << 20,
    rows=2_000,
    octets=1 << 20,
    query=20_000,
    headers=16_384,
    arriving=0.5,
    leaving=0.5,
    idle=2.0,
)

_PROGRAM = """
import json, sys
sys.path[:0] = json.loads(sys.argv[1])
from pathlib import Path
from glost.publish.endpoint.app import application
from glost.publish.endpoint.limits import Limits
from glost.publish.endpoint.serving import serve
from glost.publish.endpoint.static import Published
site, store, limits = Path(sys.argv[2]), Path(sys.argv[3]), Limits(**json.loads(sys.argv[4]))
published = Published(site)
published.load(store)
app = application(published, store, limits)
serve(app, "127.0.0.1", 0, limits, lambda address: print(address, flush=True))
"""


def described(snapshot: Snapshot) -> bytes:
    """Describe the dataset, its statements counted graph by graph."""
    counts, held = StatementCounts(), SiteContents(snapshot, ())
    counts.graphs.update(name for _, _, _, name in quads(snapshot.contents))
    return void_and_dcat(held, PageFrame.of(held), (), counts)


def write_site(folder: Path, collection: Path) -> Path:
    """Write a little site of a collection: a page with data beside it, and the dataset."""
    snapshot = Snapshot(collection)
    texts = {
        "index.html": b"<!doctype html><title>Front</title>",
        "shape/alder.html": b"<!doctype html><title>Alder</title>",
        "shape/alder.ttl": b"<https://example.org/shelf/shape/alder> a <x:Shape> .\n",
        "shape/alder.jsonld": b"{}\n",
        "shape/alder.nq": b"",
        "shape/index.html": b"<!doctype html><title>Shapes</title>",
        "data/dataset.nq": rdf_bytes(snapshot.contents, "nquads"),
        "data/void.ttl": described(snapshot),
        "other/odd.html": b"<!doctype html><title>Odd</title>",
        "other/odd.ttl": b"",
        "glost-site.json": json.dumps(
            {
                "base": snapshot.record.base,
                "title": "A <b>shelf</b>",
                "exceptions": {f"{snapshot.record.base}shape/Odd%20one": "other/odd"},
            }
        ).encode(),
    }
    for name, content in texts.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)
    lines = [f"{sha256(content).hexdigest()}  {name}\n" for name, content in texts.items()]
    (folder / "manifest-sha256.txt").write_text("".join(lines))
    return folder


@contextmanager
def serving(site: Path, store: Path, **limits: float) -> Iterator[str]:
    """Serve a site and give its address, closing slash and all."""
    given = json.dumps(asdict(replace(BRIEF, **limits)))
    command = [sys.executable, "-c", _PROGRAM, json.dumps(PATHS), str(site), str(store), given]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        try:
            assert process.stdout is not None
            address = process.stdout.readline().strip()
            assert address, "the endpoint did not start"
            yield address
        finally:
            process.terminate()
            process.wait(timeout=20)
