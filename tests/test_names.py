"""Names in the house: one for one thing."""

import ast
from collections import defaultdict
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def test_a_class_name_stands_once() -> None:
    places = defaultdict(list)
    for folder in ("kg", "cli"):
        for file in sorted((ROOT / folder).rglob("*.py")):
            for node in ast.parse(file.read_text(encoding="utf-8")).body:
                if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                    places[node.name].append(f"{file.relative_to(ROOT)}:{node.lineno}")
    assert len(places) > 500
    assert {name: files for name, files in places.items() if len(files) > 1} == {}
