"""A person at the desk who does this and that, and a book kept beside it of what the tables must hold.

The tables are read with the csv module alone and must hold what was entered and not undone, in that
order. ``tests/attack/long_desk.py`` goes on for as long as wanted.
"""

import csv
import random
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import TypeAlias

from PIL import Image
from selenium.webdriver import Chrome, Keys
from selenium.webdriver.common.by import By
from selenium.webdriver.support.ui import WebDriverWait

Row: TypeAlias = dict[str, str]
TABLES = ("shapes", "treatments", "sources", "remarks", "links", "public_statements")
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
        self.book: dict[str, list[Row]] = {name: [] for name in TABLES}
        self.steps: list[Callable[[], object]] = []
        self.done: list[str] = []
        self.images: list[str] = []
        self.corrections = 0
        self.number = 0
        self.enter("sources", {"source": "list", "title": "Price list", "date": "1908"})
        self.enter("sources", {"source": "other", "title": "Another list", "date": "1911"})
        self.steps.clear()  # all else rests on them

    # -- what they do --------------------------------------------------------------------------

    def act(self, name: str = "") -> None:
        """Do something: what is named, or anything."""
        ways = [self.a_shape] * 4 + [self.a_treatment] * 3 + [self.undo] * 2 + [self.look] * 3
        ways += [self.a_mistake, self.correct, self.withdraw, self.reload, self.back] + [
            self.talk
        ] * 2
        ways += [self.dispute, self.doubt, self.review, self.bring, self.bring_an_image]
        ways += [self.two_tabs, self.arrange, self.arrange]
        way = getattr(self, name) if name else self.dice.choice(ways)
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
        if not self.browser.find_elements(By.ID, "cell-name"):
            return
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

    def withdraw(self) -> None:
        """Withdraw all that a row says of a shape."""
        address = self.a_claim()
        if not address:
            return
        self.browser.get(f"{address}/correct?whole=1")
        self.browser.find_element(By.CSS_SELECTOR, "input[value=transcription]").click()
        self.write("reason", "of another shape")
        self.press("Save")
        self.saved("the withdrawal")
        self.corrections += 1
        self.steps.append(lambda: setattr(self, "corrections", self.corrections + 1))

    def two_tabs(self) -> None:
        """Correct one row in two tabs: the second is refused and shown both versions."""
        address = self.a_claim()
        if not address:
            return
        first = self.browser.current_window_handle
        for tab in ("one", "two"):
            if tab == "two":
                self.browser.switch_to.new_window("tab")
            self.browser.get(f"{address}/correct")
            if not self.browser.find_elements(By.ID, "cell-name"):
                return  # it is withdrawn already; another row says what stands now
            self.fill({"name": f"Of tab {tab} {self.number} {self.dice.randrange(10**6)}"})
            self.browser.find_element(By.CSS_SELECTOR, "input[value=transcription]").click()
            self.write("reason", f"seen in tab {tab}")
        self.press("Save")
        self.saved("the correction in the second tab")
        self.browser.close()
        self.browser.switch_to.window(first)
        self.press("Save")
        main = self.browser.find_element(By.TAG_NAME, "main").text
        assert "has changed since you opened it" in main and "Of tab one" in main, main
        self.corrections += 1
        self.steps.append(lambda: setattr(self, "corrections", self.corrections + 1))

    def dispute(self) -> None:
        """Enter what another source says of a shape, from the page of a claim about it."""
        address = self.a_claim()
        if not address:
            return
        self.browser.get(f"{address}/dispute")
        self.browser.find_element(By.LINK_TEXT, "Enter what it says").click()
        field = self.browser.find_element(By.ID, "cell-shape")
        row = {"shape": field.get_attribute("value") or "", "name": self.text(), "source": "other"}
        self.fill({name: text for name, text in row.items() if name != "shape"})
        self.press("Save")
        self.saved(f"{row}")
        self.keep("shapes", row)

    def doubt(self) -> None:
        """Note a doubt that stays with a claim."""
        address = self.a_claim()
        if not address:
            return
        self.browser.get(f"{address}/dispute")
        text = self.text()
        self.write("text", text)
        self.write("source", "other")
        self.press("Keep the note")
        self.saved(f"the doubt {text}")
        claim = address.rpartition("/")[2]
        self.keep("remarks", {"on": claim, "text": text, "source": "other"})

    def review(self) -> None:
        """Say of two shapes whether they are one."""
        self.go("/review?kind=shapes")
        if not self.browser.find_elements(By.ID, "evidence"):
            return
        names = {
            name: self.browser.find_element(By.NAME, name).get_attribute("value") or ""
            for name in ("one", "other")
        }
        self.write("evidence", evidence := self.text())
        self.write("source", "list")
        do = self.dice.choice(("yes", "no", "later"))
        self.press_on(f"//main//button[@value='{do}']")
        self.saved(f"the link of {names}")
        base = "https://example.org/my/"
        row = {name: iri.removeprefix(base) for name, iri in names.items()}
        kinds = {"yes": "same", "no": "not-the-same", "later": "undecided"}
        self.keep("links", {**row, "kind": kinds[do], "evidence": evidence, "source": "list"})

    def talk(self) -> None:
        """Begin a talk, or show a shape in one."""
        talks = [row["source"] for row in self.book["sources"] if row.get("kind") == "talk"]
        if not talks or (self.dice.random() < 0.2 and len(talks) < 3):
            self.number += 1
            title = f"Evening {self.number}"
            self.go("/talks")
            self.write("title", title)
            self.press("Begin it")
            row = {"source": f"evening-{self.number}", "title": title, "kind": "talk"}
            self.keep("sources", row)
            return
        address = self.a_claim()
        if not address:
            return
        shape = self.shown["shape"]
        name = self.dice.choice(talks)
        self.go(f"/talk/{name}?show=shape/{shape}")
        self.write("wording", wording := self.text())
        claim = self.browser.find_element(By.CSS_SELECTOR, "fieldset.wide input[name=uses]")
        claim.click()
        uses = claim.get_attribute("value") or ""
        self.press("Add it to the talk")
        self.saved(f"what is shown, {wording}")
        there = [row for row in self.book["public_statements"] if row["said_in"] == name]
        row = {"said_in": name, "wording": wording, "about": f"shape/{shape}", "uses": uses}
        self.keep("public_statements", {**row, "place_in_talk": str(len(there) + 1)})

    def arrange(self) -> None:
        """Change the words of something shown in a talk, move it on, or take it out."""
        book = self.book["public_statements"]
        if not book:
            return
        name = self.dice.choice(book)["said_in"]
        there = [row for row in book if row["said_in"] == name]
        there.sort(key=lambda row: int(row["place_in_talk"]))
        at = self.dice.randrange(len(there))
        self.go(f"/talk/{name}")
        before = [dict(row) for row in book]
        do = self.dice.choice(("change", "down", "out"))
        if do == "down" and at + 1 == len(there):
            return
        if do == "change":
            self.write(f"w{at + 1}", wording := self.text())
            there[at]["wording"] = wording.strip()
        elif do == "down":
            there[at], there[at + 1] = there[at + 1], there[at]
            for to, row in enumerate(there, 1):
                row["place_in_talk"] = str(to)
        elif at + 1 < len(there):
            return  # a gap would be left, which the next move closes
        else:
            book.remove(there[at])
        self.press_on(f"//main//button[@value='{do}-{at + 1}']")
        self.saved(f"{do} of {there[at]}")
        self.steps.append(lambda: book.__setitem__(slice(None), before))

    def bring(self) -> None:
        """Bring in a table with a cell that is wrong, and mend it in place."""
        self.number += 1
        rows = [
            {"shape": f"b{self.number}{at}", "name": f"Brought {self.number}{at}", "source": "list"}
            for at in "xy"
        ]
        with tempfile.TemporaryDirectory() as place:
            file = Path(place) / "shapes.csv"
            with file.open("w", encoding="utf-8", newline="") as out:
                writer = csv.DictWriter(out, ["shape", "name", "begin", "source"])
                writer.writeheader()
                writer.writerows({**row, "begin": "some time ago"} for row in rows)
            self.go("/bring")
            self.browser.find_element(By.ID, "files").send_keys(str(file))
            self.press("Bring in")
        for at, row in enumerate(rows, 1):
            row["begin"] = str(1890 + self.dice.randrange(50))
            field = self.browser.find_element(By.NAME, f"row-{at}-begin")
            assert field.get_attribute("aria-invalid") == "true", (
                "what is wrong is told at its cell"
            )
            field.clear()
            field.send_keys(row["begin"])
        self.press("Check again")
        self.press("Add these rows")
        self.saved(f"{rows}")
        self.book["shapes"] += rows
        self.steps.append(lambda: [self.book["shapes"].remove(row) for row in rows])

    def bring_an_image(self) -> None:
        if len(self.images) > 4:
            return
        with tempfile.TemporaryDirectory() as place:
            file = Path(place) / f"page{len(self.images)}.png"
            Image.new("RGB", (60, 80), "white").save(file)
            self.go("/bring")
            self.browser.find_element(By.ID, "files").send_keys(str(file))
            self.press("Bring in")
        self.images.append(file.name)

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

    def a_claim(self) -> str:
        """Return the address of a claim about some shape that stands; empty if there is none."""
        if not self.book["shapes"]:
            return ""
        self.shown = self.dice.choice(self.book["shapes"])
        self.go(f"/thing/shape/{self.shown['shape']}")
        links = self.browser.find_elements(By.CSS_SELECTOR, ".rows a[href$='/correct']")
        # Those of the row itself name the shape; the last one says what stands now.
        address = links[-1].get_attribute("href") if links else ""
        return (address or "").removesuffix("/correct")

    def keep(self, table: str, row: Row) -> None:
        """Put a row into the book, to be taken out again when it is undone."""
        kept = {name: text.strip() for name, text in row.items() if text.strip()}
        self.book[table].append(kept)
        self.steps.append(lambda: self.book[table].remove(kept))

    def saved(self, what: str) -> None:
        main = self.browser.find_element(By.TAG_NAME, "main").text
        assert "Saved." in main, f"{what} was not saved: {main}"

    def write(self, name: str, text: str) -> None:
        field = self.browser.find_element(By.ID, name)
        field.clear()
        field.send_keys(text)

    def enter(self, table: str, row: dict[str, str], button: str = "Save") -> None:
        self.go(f"/enter/{table}")
        self.fill(row)
        self.press(button)
        self.saved(f"{row}")
        self.keep(table, row)

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
        # Found at once: what is offered for cells comes and goes meanwhile.
        self.press_on(f"//main//button[normalize-space()='{name}']")

    def press_on(self, path: str) -> None:
        page = self.browser.find_element(By.TAG_NAME, "html")
        button = self.browser.find_element(By.XPATH, path)
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
        if table == "public_statements":  # a talk's order stands in its rows, not in theirs
            rows.sort(key=_in_talk)
            expected = sorted(expected, key=_in_talk)
        there = [
            {n: row.get(n) or "" for n in want} for row, want in zip(rows, expected, strict=False)
        ]
        if len(rows) != len(expected):
            found.append(f"{table}: {len(rows)} rows, {len(expected)} were entered and not undone")
        found += [
            f"{table}: {a} is not {b}" for a, b in zip(there, expected, strict=False) if a != b
        ]
    found += [
        f"{name} is not there" for name in person.images if not (folder / "images" / name).is_file()
    ]
    made = len(read(folder, "corrections"))
    if made != person.corrections:
        found.append(f"corrections: {made} rows, {person.corrections} were made")
    return found


def _in_talk(row: Row) -> tuple[str, int]:
    return row["said_in"], int(row["place_in_talk"])


def read(folder: Path, table: str) -> list[dict[str, str]]:
    file = folder / "tables" / f"{table}.csv"
    text = file.read_text(encoding="utf-8") if file.exists() else ""
    return list(csv.DictReader(text.splitlines()))
