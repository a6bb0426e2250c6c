"""Small collections of several keepers, to be laid side by side."""

from pathlib import Path

from shelf import write

BARE = {"flatware": "", "treatments": "", "pieces": "", "assortments": ""}
"""The tables of the small collection that a keeper's leaves out."""


def keeper(top: Path, name: str, **tables: str) -> Path:
    """Write a collection of a keeper of that name."""
    folder = write(top / name, **{**BARE, **tables})
    text = f'title = "Shelf of {name}"\nbase = "https://{name}.example/"\npublisher = "{name}"\n'
    (folder / "collection.toml").write_text(text, encoding="utf-8")
    return folder
