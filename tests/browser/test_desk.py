"""The desk in a real browser: a newcomer's walk, by mouse and by keyboard alone, and axe."""

import csv
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from PIL import Image, ImageDraw
from selenium.common.exceptions import (
    StaleElementReferenceException,
    TimeoutException,
    WebDriverException,
)
from selenium.webdriver import ActionChains, Chrome, Keys
from selenium.webdriver.common.by import By
from selenium.webdriver.remote.webelement import WebElement
from selenium.webdriver.support.ui import Select, WebDriverWait

from glost.record.starting import begin
from random_use import Person, differences

TOP = Path(__file__).resolve().parents[2]
EXAMPLE = TOP / "examples" / "wend-valley"
LINES = [("Dinner plate", "101", "1.20"), ("Platter", "102", "0.90"), ("Saucer", "103", "0.60"),
         ("Teapot", "104", "4.80")]  # fmt: skip


@contextmanager
def desk(folder: Path) -> Iterator[str]:
    """Run a desk as a user does and give the address it prints."""
    command = [sys.executable, "-m", "glost_cli", "desk", "-c", str(folder), "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        try:
            assert process.stdout is not None
            yield process.stdout.readline().split(" is at ")[1].strip()
        finally:
            process.terminate()
            assert process.wait(timeout=30) == 0


@pytest.fixture
def new(tmp_path: Path) -> Path:
    """Return an empty collection, and beside it the image of a price list."""
    begin(tmp_path / "shelf", "My shelf", "https://example.org/my/")
    page = Image.new("RGB", (600, 800), "#f7f1e3")
    for at, (form, item, price) in enumerate(LINES):
        ImageDraw.Draw(page).text((60, 100 + 60 * at), f"{item}  {form}  {price}", fill="black")
    page.save(tmp_path / "list.png")
    return tmp_path / "shelf"


def rows(folder: Path, table: str) -> list[dict[str, str]]:
    text = (folder / "tables" / f"{table}.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def fill(browser: Chrome, **cells: str) -> None:
    for name, text in cells.items():
        field = browser.find_element(By.ID, f"cell-{name}")
        field.clear()
        field.send_keys(text)


def press(browser: Chrome, name: str) -> None:
    """Click on a button, and wait until the page it was on has been left."""

    def clicked(_: Chrome) -> WebElement | None:
        try:
            for button in browser.find_elements(By.CSS_SELECTOR, "main button, main a.button"):
                if button.text == name:
                    browser.execute_script("arguments[0].scrollIntoView({block: 'center'})", button)
                    page = browser.find_element(By.TAG_NAME, "html")
                    button.click()
                    return page
        except StaleElementReferenceException:  # a part of the page was just brought up to date
            return None
        return None

    page = WebDriverWait(browser, 20).until(clicked, f"there is no button {name!r}")
    assert page is not None
    WebDriverWait(browser, 30).until(lambda _: gone(page), f"{name} leads nowhere")


def gone(element: WebElement) -> bool:
    """Say whether the page that an element was of has been left."""
    try:
        element.is_enabled()
    except WebDriverException:
        return True
    return False


def until(browser: Chrome, css: str, text: str) -> WebElement:
    """Wait until a part of the page says something."""

    def said(_: Chrome) -> WebElement | None:
        found = browser.find_elements(By.CSS_SELECTOR, css)
        return next((each for each in found if text in each.text), None)

    try:
        made = WebDriverWait(browser, 20).until(said)
    except TimeoutException:
        main = browser.find_element(By.TAG_NAME, "main").text
        raise AssertionError(f"{css} does not say {text!r}: {main}") from None
    assert made
    return made


def open_door(browser: Chrome, address: str) -> None:
    """Open the desk and wait until the collection lies on it."""
    browser.get(address)
    WebDriverWait(browser, 120).until(lambda b: "is being opened" not in b.page_source)


def base(address: str) -> str:
    return address.partition("/?")[0]


def test_a_newcomers_walk(browser: Chrome, new: Path, tmp_path: Path) -> None:
    with desk(new) as address:
        open_door(browser, address)
        here = base(address)
        assert browser.current_url == f"{here}/", "the address is without the key then"
        assert "Nothing yet" in browser.find_element(By.TAG_NAME, "main").text
        # A page image, its source, and what it names.
        browser.get(f"{here}/bring")
        browser.find_element(By.ID, "files").send_keys(str(tmp_path / "list.png"))
        press(browser, "Bring in")
        browser.find_element(By.PARTIAL_LINK_TEXT, "Describe its source").click()
        fill(browser, source="list", title="Price list", kind="price list", date="1908")
        press(browser, "Save")
        browser.get(f"{here}/page/list.png?table=potteries")
        fill(browser, pottery="fell", name="Fell Pottery", locator="p. 1")
        press(browser, "Save")
        browser.get(f"{here}/page/list.png?table=shapes")
        fill(browser, shape="linden", name="Linden", locator="p. 1")
        # Found by a part of its name as one types, and taken with a click.
        fill(browser, pottery="fel")
        until(browser, "#cell-pottery-told button", "Fell Pottery").click()
        until(browser, "#cell-pottery-told .good", "Fell Pottery")
        press(browser, "Save")
        # A price list: the first line whole, the others by what differs; each region drawn.
        browser.get(f"{here}/page/list.png?table=assortments")
        fill(browser, shape="Linden", per="dozen", locator="p. 1, item 101")
        for at, (form, item, price) in enumerate(LINES):
            draw(browser, (50, 90 + 60 * at), (300, 40))
            fill(browser, form=form, item=item, price=price)
            if at:
                assert value(browser, "locator") == f"p. 1, item {item}", "it was counted on"
                assert value(browser, "per") == "dozen", "it was kept"
            press(browser, "Save, and the same again")
            until(browser, ".saved", "Saved.")
        entered = rows(new, "assortments")
        assert [(r["item"], r["price"]) for r in entered] == [(i, p) for _, i, p in LINES]
        assert {r["form"] for r in entered} == {"dinner-plate", "platter", "saucer", "teapot"}
        for at, row in enumerate(entered):
            x, y, w, h = map(int, row["region"].removeprefix("xywh=").split(","))
            assert (
                abs(x - 50) < 4
                and abs(y - 90 - 60 * at) < 4
                and abs(w - 300) < 6
                and abs(h - 40) < 6
            )
        assert len(browser.find_elements(By.CSS_SELECTOR, "rect.cited")) == len(LINES)
        # A mistake is told at its cell as one types, and mended.
        fill(browser, form="tepot")
        until(browser, "#cell-form-told .bad", "is no term")
        assert browser.find_element(By.ID, "cell-form").get_attribute("aria-invalid") == "true"
        fill(browser, form="teapot")
        until(browser, "#cell-form-told .good", "eapot")
        # A correction, seen first; then undone in one step.
        browser.get(f"{here}/thing/shape/linden")
        browser.find_element(By.CSS_SELECTOR, ".rows a[href$='/correct']").click()
        fill(browser, begin="1905")
        browser.find_element(By.CSS_SELECTOR, "input[value=transcription]").click()
        browser.find_element(By.ID, "reason").send_keys("left out")
        fill(browser, name="Linden Old")
        press(browser, "Show what would follow")
        until(browser, ".foreseen", "Linden Old")
        assert not rows(new, "corrections")
        press(browser, "Save")
        until(browser, ".saved", "Corrected")
        assert len(rows(new, "corrections")) == 1
        browser.get(f"{here}/history")
        press(browser, "Undo")
        assert len(rows(new, "corrections")) == 2
        browser.get(f"{here}/thing/shape/linden")
        assert browser.find_element(By.TAG_NAME, "h1").text.startswith("Linden")
        assert "Linden Old" not in browser.find_element(By.TAG_NAME, "h1").text
        # A question, and a label.
        browser.get(f"{here}/ask/assortment-sizes")
        Select(browser.find_element(By.ID, "p-shape")).select_by_visible_text("Linden")
        press(browser, "Ask")
        (row,) = browser.find_elements(By.CSS_SELECTOR, "table.list tbody tr")
        assert "Price list" in row.text and f" {len(LINES)}" in row.text
        browser.get(f"{here}/labels?of=shape/linden")
        assert browser.find_element(By.CSS_SELECTOR, ".labels .qr").size["width"] > 80
        assert not problems(browser)


def problems(browser: Chrome) -> list[str]:
    return [e["message"] for e in browser.get_log("browser") if e["level"] == "SEVERE"]


def value(browser: Chrome, name: str) -> str:
    return browser.find_element(By.ID, f"cell-{name}").get_attribute("value") or ""


def draw(browser: Chrome, at: tuple[int, int], size: tuple[int, int]) -> None:
    """Draw a region with the mouse, its corners given in pixels of the image."""
    plate = browser.find_element(By.CSS_SELECTOR, "svg.plate")
    browser.execute_script("window.scrollTo(0, 0)")
    button = browser.find_element(By.CSS_SELECTOR, "[data-draw]")
    if button.get_attribute("aria-pressed") == "false":
        button.click()
    corners = browser.execute_script(
        "const m = arguments[0].getScreenCTM(); return arguments[1].map(p =>"
        " { const q = new DOMPoint(...p).matrixTransform(m); return [q.x, q.y]; })",
        plate,
        [list(at), [at[0] + size[0], at[1] + size[1]]],
    )
    actions = ActionChains(browser, duration=20)
    first, last = ([round(c) for c in corner] for corner in corners)
    actions.w3c_actions.pointer_action.move_to_location(*first)
    actions.w3c_actions.pointer_action.pointer_down()
    actions.w3c_actions.pointer_action.move_to_location((first[0] + last[0]) // 2, first[1] + 5)
    actions.w3c_actions.pointer_action.move_to_location(*last)
    actions.w3c_actions.pointer_action.pointer_up()
    actions.perform()
    assert value(browser, "region")


def test_a_row_by_keyboard_alone(browser: Chrome, new: Path, tmp_path: Path) -> None:
    (new / "images").mkdir(exist_ok=True)
    (new / "images/list.png").write_bytes((tmp_path / "list.png").read_bytes())
    sources = new / "tables/sources.csv"
    sources.write_text("source,title,image\nlist,Price list,list.png\n", encoding="utf-8")
    shapes = new / "tables/shapes.csv"
    shapes.write_text("shape,name,source\nlinden,Linden,list\n", encoding="utf-8")
    with desk(new) as address:
        open_door(browser, address)
        browser.get(f"{base(address)}/page/list.png?table=assortments")
        plate = browser.find_element(By.CSS_SELECTOR, "svg.plate")
        keys(browser, Keys.TAB, until_focused=lambda it: it == plate)
        before = view(browser)
        keys(browser, "+", "+", Keys.ARROW_RIGHT)
        assert view(browser)[2] < before[2] and view(browser)[0] > 0
        keys(browser, "0")
        assert view(browser) == before == [0, 0, 600, 800]
        to_field(browser, "cell-shape")
        keys(browser, *"lind")
        until(browser, "#cell-shape-told button", "Linden")
        keys(browser, Keys.ARROW_DOWN, Keys.ENTER)
        assert value(browser, "shape") == "linden"
        to_field(browser, "cell-form")
        keys(browser, *"teapot")
        to_field(browser, "cell-region")
        keys(browser, *"xywh=50,90,300,40")
        assert browser.find_element(By.CSS_SELECTOR, "rect.drawn").get_attribute("width") == "300"
        keys(browser, Keys.ENTER)  # the first button of a form: to save it
        until(browser, ".saved", "Saved.")
    (row,) = rows(new, "assortments")
    assert (row["shape"], row["form"], row["region"]) == ("linden", "teapot", "xywh=50,90,300,40")


def view(browser: Chrome) -> list[float]:
    """Return the part of the page image that is shown."""
    script = "return document.querySelector('svg.plate').getAttribute('viewBox')"
    return [float(number) for number in browser.execute_script(script).split()]


def keys(browser: Chrome, *pressed: str, until_focused: object = None) -> None:
    if until_focused is None:
        ActionChains(browser).send_keys(*pressed).perform()
        return
    assert callable(until_focused)
    for _ in range(80):
        ActionChains(browser).send_keys(*pressed).perform()
        if until_focused(browser.switch_to.active_element):
            return
    raise AssertionError("the keyboard does not lead there")


def to_field(browser: Chrome, name: str) -> None:
    keys(browser, Keys.TAB, until_focused=lambda it: it.get_attribute("id") == name)


def test_all_is_there_without_a_script(scriptless: Chrome, new: Path) -> None:
    with desk(new) as address:
        open_door(scriptless, address)
        here = base(address)
        scriptless.get(f"{here}/enter/sources")
        fill(scriptless, source="list", title="Price list")
        press(scriptless, "Save")
        assert rows(new, "sources")[0]["title"] == "Price list"
        scriptless.get(f"{here}/enter/shapes")
        fill(scriptless, shape="linden", pottery="fell", source="Price list")
        press(scriptless, "Save")
        assert 'Nothing describes "fell"' in scriptless.find_element(By.TAG_NAME, "main").text
        fill(scriptless, pottery="")
        press(scriptless, "Save")
        assert rows(new, "shapes")[0]["source"] == "list"


def test_what_somebody_does_at_random_reads_back_as_it_was_entered(
    browser: Chrome, new: Path
) -> None:
    """All that is done there once; ``tests/attack/long_desk.py`` goes on for as long as wanted."""
    with desk(new) as address:
        open_door(browser, address)
        person = Person(browser, base(address), seed=3)
        for name in ("a_shape", "a_shape", "a_treatment", "a_mistake", "correct", "dispute", "doubt", "talk", "talk",
                     "arrange", "review", "bring", "bring_an_image", "two_tabs", "undo", "withdraw", "undo", "undo"):  # fmt: skip
            person.act(name)
            assert differences(person, new) == [], name


PAGES = ("/", "/things/shape", "/thing/shape/alder", "CLAIM", "CORRECT", "/pages",
         "/page/ot-cat-1909-p13.png?table=assortments&region=xywh=100,100,200,60", "/piece?form=plate",
         "/questions", "/ask/in-production?year=1910", "/conflicts?severity=contradiction", "/pictures",
         "/picture/runs", "/history", "/bring", "/enter", "/enter/pieces", "/sparql", "/find?q=al&list=1",
         "/compare?a=shape/alder&b=shape/tamsin", "/labels?of=shape/alder", "/picking?of=shape/alder",
         "/thing/shape/alder?as_of=2022-01-01", "/timeline", "/talk/talk-war-lines?show=Alder",
         "/talk/talk-war-lines/screen", "/recording/talk-2022?table=shapes", "/lineage/shape/halewin",
         "/review?list=source/ot-pl-1909&with=source/ot-pl-1917", "/claim/7a558c74d7b46d06/dispute",
         "/labels?kind=shape", "/talks", "/sheet/shape/alder",
         "/talk/talk-war-lines/printed", "/claim/7a558c74d7b46d06", "/nothing")  # fmt: skip
_LOOK = """
const done = arguments[1], wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
const out = wide > 0 ? ["runs out by " + wide] : [];
const enabled = arguments[0], rules = {'color-contrast': {enabled}, 'link-in-text-block': {enabled}};
axe.run(document, {rules, resultTypes: ['violations'], iframes: false, elementRef: false})
  .then(r => done([...out, ...r.violations.map(v => v.id + ' ' + v.nodes[0].html)]));
"""


def test_axe_finds_nothing_and_nothing_runs_out_of_a_narrow_window(
    browser: Chrome, axe: str
) -> None:
    with desk(EXAMPLE) as address:
        open_door(browser, address)
        here = base(address)
        browser.get(f"{here}/thing/shape/alder")
        link = browser.find_element(By.CSS_SELECTOR, ".rows a[href$='/correct']").get_attribute(
            "href"
        )
        assert link
        claims = {"CORRECT": link, "CLAIM": link.removesuffix("/correct")}
        found = []
        for page in PAGES:
            browser.set_window_size(1280, 1000)
            browser.get(claims.get(page) or here + page)
            browser.execute_script(axe)
            for width in (1280, 390):  # no colour is another where it is narrow
                browser.set_window_size(width, 1000)
                found += [
                    f"{width} {page}: {each}"
                    for each in browser.execute_async_script(_LOOK, width == 1280)
                ]
        assert found == []
        assert all("/nothing" in each for each in problems(browser))
