"""What readers come to the site with: each answered from the front page in a few steps.

A step is a search sent from the head of a page, or a click. Answers were read off the tables.
"""

import re
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

TASKS = {
    "when was the jug wv-056 made, and how do you know": (
        ["? wv56", "> Halewin"],
        # pieces.csv: made 1933-04 by date code D33N4
        r"Made in April 1933, by the date code D33N4",
    ),
    "which came first, Tamsin or Halewin": (
        ["> Questions", "> Between which days did each shape begin"],
        # shapes.csv: Tamsin 1907 by its registration, Halewin 1912 by its list
        r"(?s)(?=.*Tamsin\s.{0,60}1907)(?=.*Halewin\s.{0,60}1912)",
    ),
    "what is disputed about Halewin": (
        ["? halewin", "> Halewin"],
        # shapes.csv: two books end it in 1927; a piece is dated 1933
        r"Disputed: Pots of the Wend, 1961 and The Wend Valley Collector, 1979.{0,60} 1927",
    ),
    "where is a piece that shows the decal Rookery Lane": (
        ["? rookery lane decal", "> Rookery Lane", "> H-433"],
        r"(?i)jug 36s, Halewin",  # pieces.csv: wv-056 bears H-433
    ),
    "what was new in 1909": (
        ["> Questions", "> What was new in a given year", "> 1909"],
        # marks.csv and kilns.csv: the mark Pryor / M.L. and two kilns of Mill Lane began then
        r"(?s)(?=.*Pryor / M\.L\..{0,40}yes)(?=.*kiln 4, Mill Lane Works.{0,40}yes)",
    ),
    "who copied whom": (
        ["? fennick", "> Fennick"],
        r"Copied from\s+Vellacott",  # lineage.csv
    ),
    "what kind of kilns had Northfield, and what do the blueprint's zones measure": (
        ["? bisque kiln A Northfield", "> Northfield"],
        # kiln_zones.csv: 140, 66, 98 ft; overall 348 ft
        r"(?s)tunnel kiln.*preheating zone 140 ft; firing zone 66 ft; slow-cooling zone 98 ft",
    ),
    "when did marks stop naming the shape": (
        ["> Questions", "> Which marks name the shape"],
        r"(?s)Wicket.*1920",  # marks.csv: the Wicket mark to 1920
    ),
    "which treatments crossed between shapes": (
        ["> Questions", "> Which treatments crossed"],
        r"(?s)A-112 \(Gorse and Linnet\).{0,80}Alder.{0,80}Vellacott",
    ),
    "which shapes could one buy in 1912": (
        ["> Questions", "> Which shapes were in production", "> 1912"],
        r"(?s)(?=.*Halewin)(?=.*Vellacott)(?=.*Fennick)",
    ),
}

LINKS = """return [...document.querySelectorAll('main a, header nav a')].filter(
    each => (each.innerText ?? each.textContent).includes(arguments[0]) && each.checkVisibility())"""
"""Links that are seen and say something; asked at once, since a page may have thousands."""


def step(browser: Chrome, told: str) -> None:
    """Send a search (``? words``), or click on the first link that begins so (``> words``)."""
    wait = WebDriverWait(browser, 20)
    how, words = told.split(" ", 1)
    if how == "?":
        browser.find_element(By.CSS_SELECTOR, "form.seek input").send_keys(words + Keys.ENTER)
        wait.until(lambda b: b.find_elements(By.CSS_SELECTOR, "#found a"))
        return

    def link(b: Chrome) -> object:
        fit = b.execute_script(LINKS, words)
        return next((each for each in fit if each.text.startswith(words)), next(iter(fit), None))

    here = browser.current_url
    wait.until(link).click()  # type: ignore[attr-defined]
    wait.until(lambda b: b.current_url != here)


@pytest.mark.parametrize("task", TASKS)
def test_a_reader_finds_the_answer_in_three_steps(
    site: Path, browser: Chrome, task: str, record_property: Callable[[str, object], None]
) -> None:
    steps, answer = TASKS[task]
    begun = time.perf_counter()
    browser.get((site / "index.html").as_uri())
    for told in steps:
        step(browser, told)
    text = browser.find_element(By.ID, "main").text
    record_property("seconds", round(time.perf_counter() - begun, 1))
    assert re.search(answer, text), text[:1500]
    assert len(steps) <= 3
