"""Numbers for terms, and terms for numbers."""

import polars as pl
from hypothesis import given
from hypothesis import strategies as st
from rdflib import Literal, URIRef
from rdflib.namespace import XSD
from rdflib.term import Node

from glost.trade.times.numbering import key_of, numbered

NAMES = st.text(st.characters(codec="utf-8", categories=["L", "N"]), max_size=5)
TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=6)
TERMS = st.one_of(
    NAMES.map(lambda name: URIRef(f"https://example.org/{name}")),
    TEXTS.map(Literal),
    TEXTS.map(lambda text: Literal(text, lang="de")),
    TEXTS.map(lambda text: Literal(text, datatype=XSD.gYear, normalize=False)),
)


@given(st.lists(TERMS, max_size=12), st.lists(TERMS, max_size=6))
def test_every_term_comes_back_from_its_number(known: list[Node], later: list[Node]) -> None:
    keys = pl.Series([key_of(term) for term in known], dtype=pl.String)
    terms, (numbers,) = numbered([keys])
    assert [terms[number] for number in numbers.tolist()] == known
    assert [terms.text(number) for number in numbers.tolist()] == list(map(str, known))
    assert [terms.find(term) for term in known] == numbers.tolist()
    assert numbers.tolist() == [sorted(set(keys)).index(key) for key in keys]
    for term in later:
        assert terms.find(term) == -1 or terms[terms.find(term)] == term
        number = terms.add(term)
        assert (terms[number], terms.find(term), terms.add(term)) == (term, number, number)
    assert len(terms) == len({*known, *later})


@given(st.lists(NAMES, max_size=8), st.lists(NAMES, max_size=8))
def test_many_added_at_once_are_as_one_by_one(known: list[str], more: list[str]) -> None:
    at_once, _ = numbered([pl.Series(known, dtype=pl.String)])
    singly, _ = numbered([pl.Series(known, dtype=pl.String)])
    numbers = at_once.add_all(pl.Series(more, dtype=pl.String))
    assert numbers.tolist() == [singly.add(URIRef(name)) for name in more]
    assert at_once.texts(numbers).to_list() == more
