"""Fact sheets: all that is on record of a thing, and nothing without what it rests on."""

from glost.answer.sheets.making import Maker, sheet_of
from glost.answer.sheets.model import (
    Crop,
    Exhibit,
    Group,
    Note,
    Section,
    Sheet,
    Statement,
    UngroundedError,
)
from glost.answer.sheets.rendering import html, markdown

__all__ = [
    "Crop",
    "Exhibit",
    "Group",
    "Maker",
    "Note",
    "Section",
    "Sheet",
    "Statement",
    "UngroundedError",
    "html",
    "markdown",
    "sheet_of",
]
