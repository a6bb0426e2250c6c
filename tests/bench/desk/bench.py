"""What the desk takes to answer in a real browser: Chromium's own clock, from key to answer.

    python tests/bench/desk/bench.py --claims 2000 20000 --times 40

makes collections of so many claims (those of ``tests/bench/live``), opens a desk on each, with a
cold and with a warm cache, and prints in milliseconds, median and 95th percentile: a keystroke's
check of a cell and what a row would bring about, each from the request that a key sends to its whole
answer (Resource Timing); the saving of a row, and every view, from the start of its loading until all
of it can be used (Navigation Timing): the first time, then, and right after a row was saved. Since a
desk is warm once its dataset is kept, the cold one is asked a question too, and then left alone until
it has kept what it makes ready. ``--ready FOLDER`` keeps collections there for another time; a run
saves rows, so give a copy.
"""

import argparse
import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median, quantiles

TOP = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(TOP / each) for each in ("kg", "cli", "tests/support", "tests/bench/live")]
sys.path.append(str(TOP / "tests" / "browser"))

from bench import made  # type: ignore[attr-defined]  # noqa: E402
from conftest import opened  # noqa: E402
from selenium.webdriver import Chrome  # noqa: E402
from selenium.webdriver.common.by import By  # noqa: E402
from selenium.webdriver.support.ui import WebDriverWait  # noqa: E402

ASKED = "/ask/in-production?year=1905&pottery=pottery/p1"
VIEWS = ("/", "/thing/shape/p1-s0", "/things/shape", "/claim/CLAIM", "/claim/CLAIM/correct", "/conflicts",
         "/find?q=Shape+3+of+1&list=1", "/piece?form=plate", "/questions", "/history", "/enter/pieces", "/timeline",
         "/lineage/shape/p1-s0", "/labels?kind=shape", "/talks", "/pages", "/review", "/pictures", "/sheet/shape/p1-s0", ASKED)  # fmt: skip
_PATIENCE = 1800
"""Seconds that an answer may take on a machine that does much else."""
_TIMED = "return performance.getEntriesByType('resource').filter(e => e.name.includes(arguments[0])).map(e => e.duration)"
_LOADED = "const n = performance.getEntriesByType('navigation')[0]; return n.domContentLoadedEventEnd - n.startTime"


@contextmanager
def desk(folder: Path) -> Iterator[str]:
    """Run a desk as a user does and give the address it prints."""
    command = [sys.executable, "-m", "glost_cli", "desk", "-c", str(folder), "--no-browser"]
    path = os.pathsep.join(str(TOP / each) for each in ("kg", "cli"))
    environment = {**os.environ, "PYTHONPATH": path}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process:
        assert process.stdout is not None
        try:
            yield process.stdout.readline().split(" is at ")[1].strip()
        finally:
            process.terminate()


def told(taken: list[float]) -> str:
    return f"{median(taken):.0f} / {quantiles(taken, n=20)[18]:.0f}"


def typed(browser: Chrome, column: str, texts: list[str], address: str) -> list[float]:
    """Type texts into a cell, key by key, each once the answer to the one before is there."""
    field = browser.find_element(By.ID, f"cell-{column}")
    browser.execute_script("performance.clearResourceTimings()")
    done = 0
    for text in texts:
        field.clear()
        for key in text:
            field.send_keys(key)
            done += 1
            WebDriverWait(browser, 60, 0.02).until(
                lambda b, done=done: len(b.execute_script(_TIMED, address)) >= done
            )
    return [float(each) for each in browser.execute_script(_TIMED, address)]


def measure(folder: Path, times: int, browser: Chrome) -> None:
    for cache in ("cold", "warm"):
        began = time.perf_counter()
        with desk(folder) as address:
            browser.get(address)
            # A page that is just being left is empty: what is waited for is the collection's own.
            WebDriverWait(browser, 600, 0.05).until(
                lambda b: b.find_elements(By.CSS_SELECTOR, ".doors")
            )
            print(f"opening, {cache} cache: {time.perf_counter() - began:.1f} s", flush=True)
            here = address.partition("/?")[0]
            if cache == "warm":
                print(f"load of the machine: {os.getloadavg()[0]:.0f}", flush=True)
                _asked(browser, here, times)
            else:
                browser.get(here + ASKED)
                took = float(browser.execute_script(_LOADED)) / 1000
                print(f"the first question, nothing kept: {took:.0f} s", flush=True)
                _left_alone()


def _left_alone() -> None:
    """Wait until the desk, of which nothing is asked, has kept all that it makes ready."""
    until = time.perf_counter() + _PATIENCE
    while not [*Path(os.environ["GLOST_CACHE"]).glob("*/names")]:
        assert time.perf_counter() < until, "what things are called is not kept"
        time.sleep(0.5)


def _asked(browser: Chrome, here: str, times: int) -> None:
    print("| what | median / 95th percentile, ms |\n|---|---|", flush=True)
    browser.get(f"{here}/enter/pieces")
    names = ["Shape 3 of 1", "p1-s1", "Shape 1"]
    keys = typed(browser, "shape", (names * times)[: max(2, times // 10)], "/cell?")
    print(f"| a keystroke's check ({len(keys)}) | {told(keys)} |", flush=True)
    browser.find_element(By.ID, "cell-piece").send_keys("new0")
    browser.find_element(By.ID, "cell-form").send_keys("plate")
    time.sleep(2)
    rows = typed(
        browser, "made", [f"19{10 + at}" for at in range(max(2, times // 4))], "/foretold/"
    )
    print(f"| what a row would bring about ({len(rows)}) | {told(rows)} |", flush=True)
    saved = []
    for at in range(max(3, times // 4)):
        _save(browser, here, f"new{at}")
        saved.append(float(browser.execute_script(_LOADED)))
    print(f"| a row saved, and its page ({len(saved)}) | {told(saved)} |", flush=True)
    browser.get(f"{here}/thing/shape/p1-s0")
    claim = re.search(r'href="/claim/(\w+)/correct"', browser.page_source)
    assert claim
    for view in VIEWS:
        address = here + view.replace("CLAIM", claim[1])
        first, *then = (_loaded(browser, address) for _ in range(1 + max(3, times // 4)))
        after = []
        for at in range(3):
            _save(browser, here, f"after{VIEWS.index(view)}-{at}")
            after.append(_loaded(browser, address))
        print(
            f"| `{view}` (first {first:.0f}; after a change {median(after):.0f}) | {told(then)} |",
            flush=True,
        )


def _loaded(browser: Chrome, address: str) -> float:
    browser.get(address)
    return float(browser.execute_script(_LOADED))


def _save(browser: Chrome, here: str, piece: str) -> None:
    """Enter a row through its form."""
    browser.get(f"{here}/enter/pieces")
    for name, text in (("piece", piece), ("shape", "p1-s1"), ("made", "1912")):
        browser.execute_script(
            "document.getElementById(arguments[0]).value = arguments[1]", f"cell-{name}", text
        )
    browser.find_element(By.CSS_SELECTOR, "button[value=save]").click()
    WebDriverWait(browser, 60, 0.02).until(lambda b: "Saved." in b.page_source)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--claims", type=int, nargs="*", default=[2_000])
    options.add_argument("--times", type=int, default=40)
    options.add_argument("--ready", type=Path, help="a folder for collections and cache")
    given = options.parse_args()
    with tempfile.TemporaryDirectory() as place:
        os.environ["GLOST_CACHE"] = str(Path(place) / "cache")
        browser = opened("--window-size=1280,1000")
        browser.command_executor.client_config.timeout = _PATIENCE
        browser.set_page_load_timeout(_PATIENCE)
        try:
            for claims in given.claims:
                folder = (given.ready or Path(place)) / str(claims)
                print(f"\n{claims:,} claims\n", flush=True)
                measure(folder if folder.exists() else made(claims, folder), given.times, browser)
        finally:
            browser.quit()


if __name__ == "__main__":
    main()
