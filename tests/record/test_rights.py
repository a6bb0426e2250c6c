"""How a source and its pictures may be used: a statement that there is, and whom to name."""

from pathlib import Path

import pytest
from rdflib import Literal, URIRef
from rdflib.namespace import DCTERMS

from glost.names import GLOST
from glost.publish.exports import write_tables
from glost.record.errors import RecordErrors
from glost.record.record import read
from shelf import write

HEAD = "source,title,kind,date,rights,credit\n"


def test_rights_and_credit_survive_the_way_out_and_back(tmp_path: Path) -> None:
    told = "http://rightsstatements.org/vocab/InC/1.0/"
    folder = write(tmp_path / "c", sources=f"{HEAD}cat1908,List,catalogue,1908,{told},A keeper\n"
                   "cat1911,List,catalogue,1911,,\nletter,Letter,letter,1912,,\n")  # fmt: skip
    record = read(folder)
    source = URIRef(f"{record.base}source/cat1908")
    graph = record.believed().graph
    assert graph.value(source, DCTERMS.rights) == URIRef(told)
    assert graph.value(source, GLOST.creditLine) == Literal("A keeper")
    write_tables(record, tmp_path / "back")
    again = {claim.statements for claim in read(tmp_path / "back").claims}
    assert again == {claim.statements for claim in record.claims}


@pytest.mark.parametrize(
    "told",
    ["free", "http://rightsstatements.org/vocab/Free/1.0/", "http://rightsstatements.org/page/InC/1.0/",
     "https://creativecommons.org/licenses/by-all/4.0/", "https://example.org/licenses/by/4.0/"],
)  # fmt: skip
def test_rights_that_nobody_states_so_are_refused(tmp_path: Path, told: str) -> None:
    folder = write(tmp_path / "c", sources=f"{HEAD}cat1908,List,catalogue,1908,{told},\n"
                   "cat1911,List,catalogue,1911,,\nletter,Letter,letter,1912,,\n")  # fmt: skip
    with pytest.raises(RecordErrors, match="rights"):
        read(folder)
