"""Nowhere does the program, or the data it ships, call ware, glaze or kiln free of danger."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

TOP = Path(__file__).parents[3]
FOLDERS = ("kg", "cli", "ontology", "shapes_shacl", "examples")
CODE = {".py", ".pyc", ".png"}
SAFE = re.compile(r"\b(un)?safe(ly|r|st|ty)?\b|\bharmless\b", re.IGNORECASE)
TEMPLATE_FILTER = re.compile(r"\|\s*safe\b")


def texts() -> Iterator[tuple[Path, str]]:
    for folder in FOLDERS:
        for path in sorted((TOP / folder).rglob("*")):
            if path.is_file() and path.suffix not in CODE:
                yield path, path.read_text(encoding="utf-8", errors="replace")


def strings() -> Iterator[tuple[Path, str]]:
    for folder in FOLDERS:
        for path in sorted((TOP / folder).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Constant) and isinstance(node.value, str):
                    yield path, node.value


def test_no_data_and_no_template_says_so() -> None:
    looked = list(texts())
    assert len(looked) > 100
    assert [path for path, text in looked if SAFE.search(TEMPLATE_FILTER.sub("", text))] == []


def test_no_string_of_the_program_says_so() -> None:
    looked = list(strings())
    assert len(looked) > 1000
    assert [(path, text) for path, text in looked if SAFE.search(text)] == []


def test_the_search_finds_what_it_looks_for() -> None:
    assert SAFE.search("This cup is Safe to drink from") and SAFE.search("food safety")
    assert not SAFE.search("a quick fill of the saggars")
