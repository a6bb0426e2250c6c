"""The pages as a reader with a browser meets them, opened straight from the disk."""

import base64
import json
import re
import time
from pathlib import Path

import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

PAGES = (
    "index.html", "shape/alder.html", "piece/wv-041.html", "source/ot-cat-1906.html",
    "claim/towpath-number-garrow.html", "treatment/t-311.html", "kiln/ot-4-a.html",
    "piece/index.html", "questions/index.html", "questions/crossings.html", "findings/index.html",
    "vocabulary/index.html", "vocabulary/topics/shapes.html", "vocabulary/schemes/form.html",
    "data/index.html", "search/index.html", "pictures/production.html", "pictures/crossings.html",
    "pictures/index.html", "pictures/family.html", "pictures/kiln-of-kiln-ot-4-g.html",
)  # fmt: skip
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
OF_COLOUR = ["color-contrast", "link-in-text-block"]


def address(site: Path, page: str) -> str:
    return (site / page).as_uri()


@pytest.mark.parametrize("page", PAGES)
def test_wcag_2_2_aa(site: Path, browser: Chrome, axe: str, page: str) -> None:
    """No page breaks a rule that axe-core can check, wide or narrow, light or dark.

    The rules that look at colours are tried light and dark, and wide alone: the style sheet changes
    nothing else in the dark, and no colour where it is narrow.
    """
    browser.get(address(site, page))
    browser.execute_script("document.querySelectorAll('details').forEach(d => d.open = true)")
    browser.execute_script(axe)
    broken = []
    for width, scheme, rules in (
        (1280, "light", {}),
        (1280, "dark", dict.fromkeys(OF_COLOUR, True)),
        (360, "light", dict.fromkeys(OF_COLOUR, False)),
    ):
        browser.execute_cdp_cmd(
            "Emulation.setDeviceMetricsOverride",
            {"width": width, "height": 900, "deviceScaleFactor": 1, "mobile": width < 600},
        )
        browser.execute_cdp_cmd(
            "Emulation.setEmulatedMedia",
            {"features": [{"name": "prefers-color-scheme", "value": scheme}]},
        )
        dark = scheme == "dark"
        only = {"type": "rule", "values": OF_COLOUR} if dark else {"type": "tag", "values": WCAG}
        passes, violations = browser.execute_async_script(
            "const done = arguments[arguments.length - 1];"
            "axe.run(document, {runOnly: arguments[0], rules: arguments[1],"
            " resultTypes: ['violations']}).then(found => done([found.passes.length,"
            " found.violations.map(each => [each.id, each.nodes[0].html.slice(0, 150)])]));",
            only,
            {name: {"enabled": on} for name, on in rules.items()},
        )
        assert passes > (0 if dark else 5)
        broken += [(width, scheme, *each) for each in violations]
        assert browser.execute_script("return document.documentElement.scrollWidth") <= width
    assert not broken


def test_a_narrow_window_changes_no_colour(site: Path) -> None:
    """So that colours need not be looked at narrow as well."""
    (sheet,) = site.rglob("style*.css")
    ruled = re.findall(
        r"@media \((?:max|min)-width[^{]*\{((?:[^{}]*\{[^}]*\})*)", sheet.read_text("utf-8")
    )
    assert len(ruled) > 2
    assert not re.search(r"colou?r|background|fill|stroke|opacity|--|:\s*#", " ".join(ruled))


def test_no_request_leaves_the_site(site: Path, watched: Chrome) -> None:
    for page in PAGES:
        watched.get(address(site, page))
    asked = []
    for entry in watched.get_log("performance"):
        message = json.loads(entry["message"])["message"]
        if message["method"] == "Network.requestWillBeSent":
            asked.append(message["params"]["request"]["url"])
    assert len(asked) > len(PAGES)
    assert {url.partition(":")[0] for url in asked} <= {"file", "data", "about"}
    assert [e for e in watched.get_log("browser") if e["level"] == "SEVERE"] == []


def test_from_front_page_to_page_image(site: Path, browser: Chrome) -> None:
    browser.get(address(site, "index.html"))
    browser.find_element(By.LINK_TEXT, "Shapes").click()
    browser.find_element(By.CSS_SELECTOR, "table.list a[href$='shape/alder.html']").click()
    assert browser.find_element(By.TAG_NAME, "h1").text.startswith("Alder")
    browser.find_element(By.CSS_SELECTOR, "#dates ~ dl sup a").click()
    note = browser.find_element(By.CSS_SELECTOR, ".notes li:target")
    note.find_element(By.TAG_NAME, "summary").click()
    note.find_element(By.CSS_SELECTOR, "details a[href*='claim/']").click()
    assert browser.find_element(By.TAG_NAME, "h1").text.startswith("What ")
    browser.get(address(site, "source/ot-cat-1906.html"))
    region = browser.find_element(By.CSS_SELECTOR, "figure svg a[aria-label='p. 11, item 139']")
    script = "return new URL(arguments[0].href.baseVal, document.baseURI).href"
    browser.get(browser.execute_script(script, region))
    box = browser.find_element(By.CSS_SELECTOR, "rect.cited").rect
    image = browser.find_element(By.CSS_SELECTOR, "figure svg image").rect
    assert image["x"] <= box["x"] and box["width"] < image["width"] / 2
    assert (
        browser.execute_script(
            "const i = new Image(); i.src = document.querySelector('svg image').href.baseVal;"
            "return i.decode().then(() => i.naturalWidth)"
        )
        > 0
    )


def searched(browser: Chrome, text: str) -> list[str]:
    """Type into the search of the page that is open; return what is found, best first."""
    wait = WebDriverWait(browser, 20)
    field = wait.until(lambda b: b.find_element(By.ID, "words"))
    wait.until(lambda _: field.is_displayed())
    browser.execute_script("document.getElementById('told').textContent = ''")
    field.clear()
    field.send_keys(text)
    # The last figure typed is looked up last: its answer stands when nothing changes any more.
    time.sleep(0.3)
    wait.until(lambda b: b.find_element(By.ID, "told").text)
    return [each.text for each in browser.find_elements(By.CSS_SELECTOR, "#found a")]


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("tamsin", "Tamsin"),  # a name as it stands comes first
        ("t311", "T-311 (Towpath Hedge)"),  # a number joined
        ("T-311", "T-311 (Towpath Hedge)"),
        ("halewn", "Halewin"),  # a letter left out
        ("octavien", "Octavine"),  # two turned round
        ("vellacot", "Vellacott"),
    ],
)
def test_search_finds(site: Path, browser: Chrome, text: str, first: str) -> None:
    browser.get(address(site, "search/index.html"))
    assert first in searched(browser, text)[:3]


def test_search_finds_by_the_beginning_of_a_word(site: Path, browser: Chrome) -> None:
    browser.get(address(site, "search/index.html"))
    found = searched(browser, "towp")
    assert len(found) > 3 and all("Towpath" in name for name in found[:3])


def test_search_knows_years_other_names_of_forms_and_kinds(site: Path, browser: Chrome) -> None:
    browser.get(address(site, "search/index.html"))
    assert searched(browser, "qqqq 9999") == []
    assert "No match" in browser.find_element(By.ID, "told").text
    named = searched(browser, "gravy boat")
    assert named and any("sauceboat" in name.casefold() for name in named)
    wv = searched(browser, "wv56")
    hrefs = [a.get_attribute("href") for a in browser.find_elements(By.CSS_SELECTOR, "#found a")]
    assert wv and any(href.endswith("piece/wv-056.html") for href in hrefs if href)
    assert "Tamsin and Halewin" in searched(browser, "1914 catalogue")[0]
    searched(browser, "1914")
    choice = next(
        each
        for each in browser.find_elements(By.CSS_SELECTOR, "#narrow button")
        if each.text.startswith("Sources")
    )
    choice.click()
    wait = WebDriverWait(browser, 20)
    wait.until(lambda b: "kind=source" in b.current_url)
    state = browser.current_url
    kinds = {each.text for each in browser.find_elements(By.CSS_SELECTOR, "#found .about")}
    assert kinds == {"Source"}
    found = [each.text for each in browser.find_elements(By.CSS_SELECTOR, "#found a")]
    browser.get("about:blank")
    browser.get(state)  # what was looked for stands in the address
    wait.until(
        lambda b: [e.text for e in b.find_elements(By.CSS_SELECTOR, "#found a")] == found and found
    )


def test_every_page_is_searched_from_its_head(site: Path, browser: Chrome) -> None:
    browser.get(address(site, "shape/alder.html"))
    browser.find_element(By.CSS_SELECTOR, "form.seek input").send_keys("brindle" + Keys.ENTER)
    wait = WebDriverWait(browser, 20)
    wait.until(lambda b: "search/index.html?q=brindle" in b.current_url)
    wait.until(lambda b: b.find_elements(By.CSS_SELECTOR, "#found a"))
    assert browser.find_element(By.CSS_SELECTOR, "#found a").text.startswith("Brindle")


def test_a_picture_is_type_that_is_found_and_leads_to_its_things(
    site: Path, browser: Chrome
) -> None:
    browser.get(address(site, "pictures/runs-shapes.html"))
    assert "Halewin" in browser.find_element(By.CSS_SELECTOR, "figure.sheet svg").text
    assert browser.execute_script("return window.find('Vellacott')")
    link = next(
        each
        for each in browser.find_elements(By.CSS_SELECTOR, "figure.sheet svg a")
        if "Halewin" in each.text
    )
    assert (
        browser.execute_script("return arguments[0].href.baseVal", link) == "../shape/halewin.html"
    )
    said = browser.execute_script("return arguments[0].querySelector('title').textContent", link)
    assert said.startswith("Halewin: began ") and "Disputed." in said


def test_a_picture_is_enlarged_without_a_script_and_changes_in_the_dark(
    site: Path, scriptless: Chrome
) -> None:
    browser = scriptless
    browser.get(address(site, "pictures/family.html"))

    def wide() -> float:
        return float(browser.find_element(By.CSS_SELECTOR, "figure.sheet svg").rect["width"])

    fit = wide()
    browser.find_element(By.ID, "twice-1").click()
    assert wide() == pytest.approx(90 * 17, abs=20)
    assert wide() > fit
    browser.find_element(By.ID, "once-1").click()
    assert wide() < fit
    ground = browser.find_element(By.CSS_SELECTOR, "figure.sheet svg rect")
    light = ground.value_of_css_property("fill")
    browser.execute_cdp_cmd(
        "Emulation.setEmulatedMedia",
        {"features": [{"name": "prefers-color-scheme", "value": "dark"}]},
    )
    dark = ground.value_of_css_property("fill")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
    assert (light, dark) == ("rgb(255, 255, 255)", "rgb(30, 33, 39)")


def test_a_picture_is_read_on_a_narrow_screen_and_printed_on_one_sheet(
    site: Path, browser: Chrome
) -> None:
    browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": 390, "height": 844, "deviceScaleFactor": 1, "mobile": True},
    )
    browser.get(address(site, "pictures/family.html"))
    page = "return document.documentElement.scrollWidth"
    assert browser.execute_script(page) <= 390
    room = browser.find_element(By.CSS_SELECTOR, "figure.sheet .room")
    assert browser.execute_script("return arguments[0].scrollWidth", room) > 600
    least = browser.execute_script(
        "return Math.min(...[...document.querySelectorAll('figure.sheet text')]"
        ".map((each) => each.getBoundingClientRect().height))"
    )
    assert least > 7
    browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    high = browser.find_element(By.CSS_SELECTOR, "figure.sheet svg").rect["height"]
    assert not browser.find_element(By.CSS_SELECTOR, ".sizes").is_displayed()
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    assert high <= 24.01 / 2.54 * 96


def test_the_keyboard_suffices(site: Path, browser: Chrome) -> None:
    browser.get(address(site, "treatment/t-311.html"))
    browser.switch_to.active_element.send_keys(Keys.TAB)
    first = browser.switch_to.active_element
    assert first.text == "Skip to the page" and first.rect["x"] >= 0
    first.send_keys(Keys.ENTER)
    assert browser.current_url.endswith("#main")
    summary = browser.find_element(By.CSS_SELECTOR, "details.reason summary")
    browser.execute_script("arguments[0].focus()", summary)
    browser.switch_to.active_element.send_keys(Keys.ENTER)
    assert browser.find_element(By.CSS_SELECTOR, "details.reason[open] .steps").is_displayed()


def test_reading_needs_no_script(site: Path, scriptless: Chrome) -> None:
    browser = scriptless
    browser.get(address(site, "shape/alder.html"))
    assert "disputed" in browser.find_element(By.ID, "main").text
    browser.find_element(By.CSS_SELECTOR, "details.reason summary").click()
    assert browser.find_element(By.CSS_SELECTOR, "details.reason .steps").is_displayed()
    browser.get(address(site, "search/index.html"))
    assert "needs a script" in browser.find_element(By.ID, "main").text
    browser.find_element(By.LINK_TEXT, "Treatments").click()
    assert browser.find_element(By.TAG_NAME, "h1").text.startswith("Treatments")


def test_print_folds_the_proofs_but_those_asked_for_and_leaves_out_the_navigation(
    site: Path, browser: Chrome
) -> None:
    browser.get(address(site, "piece/wv-041.html"))
    pdf = base64.b64decode(browser.print_page())
    assert pdf.startswith(b"%PDF-")
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    assert not browser.find_element(By.CSS_SELECTOR, ".top nav").is_displayed()
    high = (
        "const steps = document.querySelector('details.reason .steps');"
        "return steps.checkVisibility({contentVisibilityAuto: true}) ? 1 : 0"
    )
    assert not browser.execute_script(high)
    browser.execute_script("document.querySelector('details.reason').open = true")
    assert browser.execute_script(high)
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})


@pytest.mark.parametrize(
    ("page", "sheets"),
    [("piece/wv-056", 1), ("piece/wv-041", 1), ("shape/alder", 2), ("shape/halewin", 2)],
)
def test_a_piece_is_printed_on_one_page_and_a_shape_on_two(
    site: Path, browser: Chrome, page: str, sheets: int
) -> None:
    browser.get(address(site, f"{page}.html"))
    paper = {"paperWidth": 8.27, "paperHeight": 11.69, "preferCSSPageSize": True}  # A4, in inches
    printed = browser.execute_cdp_cmd("Page.printToPDF", paper)
    pages = re.findall(rb"/Type\s*/Page\b(?!s)", base64.b64decode(printed["data"]))
    assert len(pages) <= sheets


def test_a_list_is_sorted_and_narrowed(site: Path, browser: Chrome) -> None:
    browser.get(address(site, "piece/index.html"))
    rows = "return [...document.querySelectorAll('table.list tbody tr')].filter(r => !r.hidden)"
    every = len(browser.execute_script(rows))
    for option in browser.find_elements(By.CSS_SELECTOR, ".narrow option"):
        if option.text == "Halewin":
            option.click()
    shown = browser.execute_script(rows)
    assert 0 < len(shown) < every and all("Halewin" in row.text for row in shown)
    (made,) = [b for b in browser.find_elements(By.CSS_SELECTOR, "th button") if b.text == "Made"]
    at = browser.execute_script("return arguments[0].closest('th').cellIndex", made)
    years = []
    for _ in range(2):
        made.click()
        cells = browser.execute_script(rows)
        found = [row.find_elements(By.TAG_NAME, "td")[at].text[:4] for row in cells]
        years.append([year for year in found if year.isdecimal()])
    assert years[0] == sorted(years[0]) and years[1] == sorted(years[0], reverse=True)
