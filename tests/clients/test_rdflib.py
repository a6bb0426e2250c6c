"""The questions that take rdflib's engine too long for the ordinary tests."""

from pathlib import Path

import pytest

from glost.answer.remote import at
from glost.answer.snapshot import Snapshot
from glost.publish.exports import rdf_bytes
from sparql_servers import rdflib_server

LITTLE = Path(__file__).resolve().parents[1] / "answer" / "little"


@pytest.mark.parametrize("name", ["corrections", "one-witness"])
def test_it_gives_the_answer_of_the_collection(name: str) -> None:
    little = Snapshot(LITTLE)
    exported = rdf_bytes(little.contents, "nquads")
    with rdflib_server(exported, union=False) as address, at(address, seconds=600) as store:
        there, here = store.ask(name), little.answers.ask(name)
    assert [row.values for row in there.rows] == [row.values for row in here.rows]
    assert there.rows
