"""A person at the desk who does this and that, and a book kept beside it of what the tables must hold.

The tables are read with the csv module alone and must hold what was entered and not undone, in that
order. ``tests/attack/long_desk.py`` goes on for as long as wanted.
"""

import csv
import random
from collections.abc import Callable
from pathlib import Path

from selenium.webdriver import Chrome, Keys
from selenium.webdriver.common.by import By
from selenium.webdriver.support.ui import WebDriverWait

WORDS = ("Linden", "Sorb", "Böttger's", "rim, pierced", 'the "new" line', "9½", "Täbris – plain", "a;b",
         "  two  words", "<b>bold</b>", "Rowan & Ash", "№ 7")  # fmt: skip
LOOKS = ("/", "/things/shape", "/conflicts", "/timeline", "/questions", "/history", "/pages", "/piece?form=plate",
         "/find?q=li&list=1", "/labels?kind=shape", "/talks", "/review?kind=shapes")  # fmt: skip


class Person:
    """Someone at the desk.

    Parameters
    ----------
    browser
        The browser, the desk open in it.
    here
        The desk's address.
    seed
        Of what they do.
    """

    def __init__(self, browser: Chrome, here: str, seed: int) -> None:
        self.browser, self.here, self.dice = browser, here, random.Random(seed)
        self.book: dict[str, list[dict[str, str]]] = {"shapes": [], "treatments": [], "sources": []}
        self.steps: list[Callable[[], object]] = []
        self.done: list[str] = []
        self.corrections = 0
        self.number = 0
        self.enter("sources", {"source": "list", "title": "Price list", "date": "1908"})
        self.steps.clear()  # all else rests on it

    # -- what they do --------------------------------------------------------------------------

    def act(self) -> None:
        """Do something."""
        ways = [self.a_shape] * 4 + [self.a_treatment] * 3 + [self.undo] * 2 + [self.look] * 3
        ways += [self.a_mistake, self.correct, self.reload, self.back]
        way = self.dice.choice(ways)
        self.done.append(way.__name__)
        way()

    def a_shape(self) -> None:
        self.number += 1
        row = {"shape": f"s{self.number}", "name": self.text(), "source": "list"}
        row |= {"begin": str(1890 + self.dice.randrange(50)), "description": self.text()}
        self.enter("shapes", row, self.dice.choice(("Save", "Save, and the same again")))

    def a_treatment(self) -> None:
        self.number += 1
        shapes = self.book["shapes"]
        home = self.dice.choice(shapes)["shape"] if shapes and self.dice.random() < 0.6 else ""
        row = {"treatment": f"t{self.number}", "number": f"A-{self.number}", "name": self.text()}
        self.enter("treatments", {**row, "shape": home, "source": "list", "locator": "p. 2"})

    def a_mistake(self) -> None:
        """Write what cannot be, and see that it is not saved."""
        self.go("/enter/shapes")
        self.fill({"shape": "never", "begin": "some time ago", "source": "nobody"})
        self.press("Save")
        assert "bad" in self.browser.page_source

    def correct(self) -> None:
        """Correct a shape's name as a slip."""
        if not self.book["shapes"]:
            return
        row = self.dice.choice(self.book["shapes"])
        self.go(f"/thing/shape/{row['shape']}")
        links = self.browser.find_elements(By.CSS_SELECTOR, ".rows a[href$='/correct']")
        if not links:
            return
        self.browser.get(links[-1].get_attribute("href") or "")  # of what stands now
        new = f"Other {self.number} {self.dice.randrange(10**6)}"
        self.fill({"name": new})
        self.browser.find_element(By.CSS_SELECTOR, "input[value=transcription]").click()
        self.browser.find_element(By.ID, "reason").send_keys("misread")
        if self.dice.random() < 0.3:
            self.press("Show what would follow")
        self.press("Save")
        main = self.browser.find_element(By.TAG_NAME, "main").text
        assert "Saved." in main, f"the correction to {new} was not saved: {main}"
        self.corrections += 1
        self.steps.append(lambda: setattr(self, "corrections", self.corrections + 1))

    def undo(self) -> None:
        if not self.steps:
            return
        self.go("/history")
        self.press("Undo")
        if "cannot be taken out" in self.browser.page_source:  # a correction names the row
            self.steps.clear()
            return
        self.steps.pop()()

    def look(self) -> None:
        self.go(self.dice.choice(LOOKS))

    def reload(self) -> None:
        self.browser.refresh()

    def back(self) -> None:
        self.browser.back()
        self.browser.forward()

    # -- how -----------------------------------------------------------------------------------

    def enter(self, table: str, row: dict[str, str], button: str = "Save") -> None:
        self.go(f"/enter/{table}")
        self.fill(row)
        self.press(button)
        main = self.browser.find_element(By.TAG_NAME, "main").text
        assert "Saved." in main, f"{row} was not saved: {main}"
        kept = {name: text.strip() for name, text in row.items() if text.strip()}
        self.book[table].append(kept)
        self.steps.append(lambda: self.book[table].remove(kept))

    def text(self) -> str:
        return (
            " ".join(self.dice.choice(WORDS) for _ in range(self.dice.randint(1, 3)))
            + f" {self.number}"
        )

    def go(self, path: str) -> None:
        self.browser.get(self.here + path)

    def fill(self, cells: dict[str, str]) -> None:
        for name, text in cells.items():
            field = self.browser.find_element(By.ID, f"cell-{name}")
            field.clear()
            field.send_keys(text)

    def press(self, name: str) -> None:
        page = self.browser.find_element(By.TAG_NAME, "html")
        # Found at once: what is offered for cells comes and goes meanwhile.
        wanted = f"//main//button[normalize-space()='{name}']"
        button = self.browser.find_element(By.XPATH, wanted)
        button.send_keys(Keys.ENTER)
        WebDriverWait(self.browser, 60).until(lambda _: left(page))


def left(page: object) -> bool:
    """Say whether a page has been left."""
    try:
        page.is_enabled()  # type: ignore[attr-defined]
    except Exception:
        return True
    return False


def differences(person: Person, folder: Path) -> list[str]:
    """Return where the tables hold something else than the book says."""
    found = []
    for table, expected in person.book.items():
        # What a correction puts in place stands beside what was entered, and is counted there.
        rows = [row for row in read(folder, table) if row.get("partial") != "yes"]
        there = [
            {n: row.get(n) or "" for n in want} for row, want in zip(rows, expected, strict=False)
        ]
        if len(rows) != len(expected):
            found.append(f"{table}: {len(rows)} rows, {len(expected)} were entered and not undone")
        found += [
            f"{table}: {a} is not {b}" for a, b in zip(there, expected, strict=False) if a != b
        ]
    made = len(read(folder, "corrections"))
    if made != person.corrections:
        found.append(f"corrections: {made} rows, {person.corrections} were made")
    return found


def read(folder: Path, table: str) -> list[dict[str, str]]:
    file = folder / "tables" / f"{table}.csv"
    text = file.read_text(encoding="utf-8") if file.exists() else ""
    return list(csv.DictReader(text.splitlines()))
