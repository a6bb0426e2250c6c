"""A small collection with schemes of numbers and of date codes."""

from collections.abc import Callable
from pathlib import Path

from glost.record.belief import Belief
from glost.record.record import read
from shelf import write

SCHEMES = (
    "scheme,pottery,codes,pattern,begin,end,source,locator\n"
    "numbers,harrow,treatment-number,{line}{run},,,cat1908,p. 9\n"
    "dates,harrow,date,{month}{year}{works},1908,1920,letter,third page\n"
)
PARTS = (
    "scheme,part,value,means,thing,year,month,digits,only_in,also,source,locator,claim\n"
    "numbers,line,A,shape,shape/alder,,,,,,cat1908,p. 9,line-a\n"
    "numbers,line,B,shape,shape/birch,,,,,,cat1908,p. 9,line-b\n"
    "numbers,run,,running-number,,,,digits,,,cat1908,p. 9,run\n"
    "dates,month,K,month,,,3,,,,letter,third page,month-k\n"
    "dates,month,L,month,,,4,,,,letter,third page,month-l\n"
    "dates,year,,year,,1900,,2 digits,,,letter,third page,year\n"
    "dates,works,X,plant,plant/old,,,,,,letter,third page,works-x\n"
    "dates,works,Y,plant,plant/new,,,,,,letter,third page,works-y\n"
)
PLANTS = "plant,pottery,number,source,locator\nold,harrow,1,letter,p. 3\nnew,harrow,2,letter,p. 3\n"
MARKS = (
    "mark,pottery,wording,applied,plant,scheme,begin,end,source,locator\n"
    "under,harrow,HARROW,underglaze,,dates,,,letter,p. 3\n"
    "over,harrow,Harrow over,overglaze,,dates,,,letter,p. 3\n"
    "stuck,harrow,Harrow ware,paper-label,,dates,,,letter,p. 3\n"
    "bare,harrow,H,,,dates,,,letter,p. 3\n"
    "old-works,harrow,1,impressed,old,,,,letter,p. 3\n"
)

Believe = Callable[..., Belief]
"""Reads a collection of given tables; `parts` and `schemes` are rows more."""


def believed(folder: Path, *, parts: str = "", schemes: str = "", **tables: str) -> Belief:
    """Write a collection with tables of codes, and read what is believed."""
    every = {
        "code_schemes": SCHEMES + schemes,
        "code_parts": PARTS + parts,
        "plants": PLANTS,
        "marks": MARKS,
        **tables,
    }
    return read(write(folder, **every)).believed()
