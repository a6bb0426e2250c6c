"""A site published again after one random change after another is the site made from nothing.

``python tests/attack/long_sites.py [COLLECTION] [CHANGES] [SEED]``, by hand: a change of the larger
example takes half a minute. Says which files differ, and ends at the first that do.
"""

import os
import shutil
import sys
import tempfile
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
os.environ["GLOST_CACHE"] = tempfile.mkdtemp(prefix="glost-sites-")

from glost.answer.snapshot import Snapshot
from glost.publish.site.publish import publish
from glost.record.errors import RecordErrors
from shuffled import change_a_row

EXAMPLES = Path(__file__).parents[2] / "examples"


def files(site: Path) -> dict[str, bytes]:
    """Return what a site holds."""
    return {
        path.relative_to(site).as_posix(): path.read_bytes()
        for path in site.rglob("*")
        if path.is_file()
    }


def main(name: str = "thurle-cabinet", changes: str = "20", seed: str = "1") -> None:
    """Change a collection, publish it and compare, again and again."""
    draw = Random(int(seed))
    top = Path(tempfile.mkdtemp(prefix="glost-sites-"))
    folder, site = top / "collection", top / "site"
    shutil.copytree(EXAMPLES / name, folder)
    publish(Snapshot(folder), site)
    done = 0
    while done < int(changes):
        kept = top / "kept"
        shutil.rmtree(kept, ignore_errors=True)
        shutil.copytree(folder / "tables", kept)
        said = change_a_row(folder, draw)
        try:
            written = publish(Snapshot(folder), site)
        except RecordErrors:
            shutil.rmtree(folder / "tables")
            shutil.copytree(kept, folder / "tables")
            continue
        done += 1
        apart = Snapshot(folder)
        apart.__dict__["cache"] = None
        publish(apart, top / "anew")
        one, other = files(site), files(top / "anew")
        differing = sorted(f for f in one.keys() | other.keys() if one.get(f) != other.get(f))
        many = f"{len(written.written)} written, {len(written.removed)} removed"
        print(f"{done}. {said}: {many}; {len(differing)} differ", flush=True)
        if differing:
            print("\n".join(differing[:20]), f"\nsee {top}", sep="\n")
            raise SystemExit(1)
        shutil.rmtree(top / "anew")
    shutil.rmtree(top)


if __name__ == "__main__":
    main(*sys.argv[1:])
