"""A person at the desk in Chromium for as long as wanted, who does this and that at random.

    python tests/attack/long_desk.py --minutes 30 --seed 1

opens a desk on an empty collection and enters rows, enters the same again, makes mistakes, corrects,
undoes, goes back, reloads and looks about; every while, and at the end, the tables must hold what was
entered and not undone, in that order. Ends with 1 if they do not. ``tests/browser`` does a little of it.
"""

import argparse
import sys
import tempfile
import time
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(TOP / each) for each in ("kg", "cli", "tests/support", "tests/browser")]

from conftest import opened  # noqa: E402
from test_desk import base, desk, open_door  # noqa: E402

from glost.record.starting import begin  # noqa: E402
from random_use import Person, differences  # noqa: E402


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--minutes", type=float, default=30)
    options.add_argument("--seed", type=int, default=1)
    given = options.parse_args()
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "shelf"
        begin(folder, "My shelf", "https://example.org/my/")
        browser = opened("--window-size=1280,1000")
        with desk(folder) as address:
            open_door(browser, address)
            person = Person(browser, base(address), given.seed)
            end = time.monotonic() + 60 * given.minutes
            while time.monotonic() < end:
                person.act()
                wrong = differences(person, folder) if len(person.done) % 25 == 0 else []
                if wrong:
                    break
            browser.quit()
        wrong = differences(person, folder)
    counts = {name: person.done.count(name) for name in sorted(set(person.done))}
    print(f"{len(person.done)} things done: {counts}")
    print("\n".join(wrong) or "The tables read back as what was entered.")
    return bool(wrong)


if __name__ == "__main__":
    sys.exit(main())
