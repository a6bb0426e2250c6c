"""A headless Chromium, and a site of the larger example for it to read."""

import os
import shutil
import signal
from collections.abc import Iterator
from contextlib import suppress
from importlib.resources import files
from pathlib import Path

import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service

from glost.answer.snapshot import Snapshot
from glost.publish.site.publish import publish

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "wend-valley"


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("published") / "site"
    publish(Snapshot(EXAMPLE), folder)
    return folder


class Browser(Chrome):
    """A browser that leaves nothing behind.

    Debian's is begun by a shell script; the driver ends that alone, and the browser would go on.
    """

    def quit(self) -> None:
        driver = self.service.process
        super().quit()
        with suppress(ProcessLookupError, PermissionError):
            os.killpg(driver.pid, signal.SIGKILL)


def opened(*arguments: str, **logged: str) -> Chrome:
    """Open a browser that logs what its pages say, and what else is named.

    GLOST_CHROMIUM and GLOST_CHROMEDRIVER name programs that are not on PATH.

    The one that has no windows to draw takes half the time of the whole browser.
    """
    options = Options()
    found = filter(None, map(shutil.which, ("chromium-headless-shell", "chromium")))
    program = os.environ.get("GLOST_CHROMIUM") or next(found, None)
    driver = os.environ.get("GLOST_CHROMEDRIVER") or shutil.which("chromedriver")
    assert program and driver, "install what .ci/run installs"
    options.binary_location = program
    for each in (
        "--headless=new",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-gpu-compositing",
        "--disable-gpu-rasterization",
        "--hide-scrollbars",
        *arguments,
    ):
        options.add_argument(each)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", **logged})
    apart = {"start_new_session": True}  # so that all that it begins can be ended
    return Browser(options=options, service=Service(driver, popen_kw=apart))


@pytest.fixture(scope="session")
def _with_script() -> Iterator[Chrome]:
    made = opened("--window-size=1280,1000")
    yield made
    made.quit()


@pytest.fixture(scope="session")
def _without_script() -> Iterator[Chrome]:
    made = opened("--window-size=1280,1000", "--blink-settings=scriptEnabled=false")
    yield made
    made.quit()


def _new_window(browser: Chrome) -> Iterator[Chrome]:
    """Give a test a window of its own, as wide as any and with nothing logged."""
    first = browser.current_window_handle
    browser.switch_to.new_window("window")
    browser.set_window_size(1280, 1000)
    for kind in browser.log_types:
        browser.get_log(kind)
    yield browser
    browser.close()
    browser.switch_to.window(first)


@pytest.fixture
def browser(_with_script: Chrome) -> Iterator[Chrome]:
    """Return a browser; every test has a window of its own in it."""
    yield from _new_window(_with_script)


@pytest.fixture
def scriptless(_without_script: Chrome) -> Iterator[Chrome]:
    """Return one that runs no script."""
    yield from _new_window(_without_script)


@pytest.fixture
def watched() -> Iterator[Chrome]:
    """Return a browser that logs what it asks for, which makes everything else slower."""
    made = opened(performance="ALL")
    yield made
    made.quit()


@pytest.fixture(scope="session")
def axe() -> str:
    return (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
