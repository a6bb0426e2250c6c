"""The page to try queries on, as a reader with a browser meets it, script or none."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

from endpoint import serving
from glost.publish.endpoint.limits import Limits

WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@pytest.fixture(scope="module")
def address(site: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    usual = Limits()
    given = {name: getattr(usual, name) for name in ("workers", "slow", "patience", "seconds")}
    with serving(site, tmp_path_factory.mktemp("store") / "store", rows=20_000, **given) as where:
        yield where


def run(browser: Chrome, address: str, question: str) -> None:
    """Press the button of a named question."""
    browser.get(f"{address}sparql")
    field = f"input[name='question'][value='{question}']"
    form = browser.find_element(By.CSS_SELECTOR, field).find_element(By.XPATH, "..")
    form.find_element(By.TAG_NAME, "button").click()
    wait(browser)


def wait(browser: Chrome) -> None:
    """Wait until a result is there."""
    WebDriverWait(browser, 20).until(
        lambda b: b.current_url.endswith("#result") and b.find_elements(By.ID, "result")
    )


def from_a_question_to_a_claim(browser: Chrome, address: str) -> None:
    run(browser, address, "crossings")
    first = browser.find_element(By.CSS_SELECTOR, "section tbody tr")
    summary = first.find_element(By.TAG_NAME, "summary")
    listed = first.find_elements(By.CSS_SELECTOR, "ul.grounds li")
    count, word = summary.text.split()
    assert int(count) >= len(listed) > 2 and word == "claims"
    claim = first.find_element(By.CSS_SELECTOR, "ul.grounds a")
    assert not claim.is_displayed()
    summary.click()
    assert claim.is_displayed()
    assert claim.text.startswith("Catalogue No. 6")
    claim.click()
    assert "/claim/" in browser.current_url and browser.current_url.endswith(".html")
    assert browser.find_element(By.TAG_NAME, "h1").text.startswith("What ")


def test_from_a_question_to_the_claim_under_a_row(address: str, browser: Chrome) -> None:
    from_a_question_to_a_claim(browser, address)
    assert [e for e in browser.get_log("browser") if e["level"] == "SEVERE"] == []


def test_no_script_is_needed(address: str, scriptless: Chrome) -> None:
    from_a_question_to_a_claim(scriptless, address)


def test_every_row_of_what_is_reckoned_has_claims(address: str, scriptless: Chrome) -> None:
    run(scriptless, address, "runs-reckoned")
    rows = scriptless.find_elements(By.CSS_SELECTOR, "section tbody tr")
    assert len(rows) == 18
    assert [row for row in rows if not row.find_elements(By.CSS_SELECTOR, "ul.grounds a")] == []


def test_a_query_runs_by_keyboard(address: str, browser: Chrome) -> None:
    browser.get(f"{address}sparql")
    area = browser.find_element(By.ID, "query")
    area.send_keys(Keys.CONTROL, Keys.ENTER)
    wait(browser)
    assert "?query=" in browser.current_url
    assert browser.find_elements(By.LINK_TEXT, "Alder")
    assert not browser.find_elements(By.CSS_SELECTOR, "section ul.grounds")


@pytest.mark.parametrize("width", [1280, 360])
def test_wcag_2_2_aa(address: str, browser: Chrome, axe: str, width: int) -> None:
    """The page, with claims unfolded under its rows, breaks no rule that axe-core can check."""
    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": width < 600},
    )
    browser.get(f"{address}sparql?question=corrections#result")
    browser.execute_script("document.querySelectorAll('details').forEach(d => d.open = true)")
    browser.execute_script(axe)
    found = browser.execute_async_script(
        "const done = arguments[arguments.length - 1];"
        "axe.run(document, {runOnly: {type: 'tag', values: arguments[0]}}).then(done);",
        WCAG,
    )
    assert [(each["id"], each["nodes"][0]["html"][:150]) for each in found["violations"]] == []
    assert len(found["passes"]) > 10
    assert browser.execute_script("return document.documentElement.scrollWidth") <= width
