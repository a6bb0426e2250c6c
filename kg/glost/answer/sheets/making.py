"""A fact sheet made from a collection."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import cached_property
from itertools import chain

from rdflib import URIRef

from glost.answer.findings import disputes
from glost.answer.sheets import crossed, exhibits, in_dispute, known, reckoned
from glost.answer.sheets.model import Group, Note, Section, Sheet, Statement
from glost.answer.snapshot import Snapshot
from glost.findings import Finding
from glost.record.claims import Triple
from glost.trade.assortments.lists import Lists
from glost.trade.cautions import Caution, cautions_for
from glost.trade.crossings import Crossing, crossings
from glost.words.labels import label

_HEADINGS = {
    "known": "What is known",
    "disputed": "What is disputed",
    "withdrawn": "What has been withdrawn",
    "inferred": "What follows",
    "reckoned": "What we reckon, and how",
}


def sheet_of(snapshot: Snapshot, thing: URIRef) -> Sheet:
    """Make the fact sheet of one thing; see `Maker.sheet`."""
    return Maker(snapshot).sheet(thing)


class Maker:
    """Makes fact sheets of one collection; what all of them need is found once.

    Parameters
    ----------
    snapshot
        The collection; its day counts.
    """

    def __init__(self, snapshot: Snapshot) -> None:
        self._snapshot = snapshot

    @cached_property
    def _findings(self) -> dict[str, list[Finding]]:
        """What disagrees, by the things it is about."""
        about = defaultdict(list)
        for finding in disputes(self._snapshot):
            for thing in finding.about:
                about[thing].append(finding)
        return about

    @cached_property
    def _withdrawn(self) -> dict[str, list[in_dispute.Withdrawn]]:
        return in_dispute.withdrawn(self._snapshot.record, self._snapshot.belief)

    @cached_property
    def _inferred(self) -> dict[str, list[Triple]]:
        return in_dispute.inferred_about(self._snapshot.closure)

    @cached_property
    def _lists(self) -> Lists:
        return self._snapshot.lists

    @cached_property
    def _crossings(self) -> tuple[Crossing, ...]:
        return crossings(self._snapshot.belief, self._snapshot.chronology)

    def sheet(self, thing: URIRef) -> Sheet:
        """Make the fact sheet of a thing.

        Parameters
        ----------
        thing
            What the sheet is about; see `glost.answer.showing.find_thing`.

        Returns
        -------
        Sheet
            What is known, disputed, withdrawn, inferred and reckoned, each statement with its
            notes; exhibits; cautions.
        """
        snapshot = self._snapshot
        belief, graph = snapshot.belief, snapshot.graph
        kinds = known.kinds(belief, thing)
        shown = list(exhibits.pages(belief, graph, thing))[: exhibits.PAGES]
        pieces, more = exhibits.pieces(belief, graph, thing, kinds)
        return Sheet(
            iri=str(thing),
            title=label(thing, graph),
            kinds=known.kind_statements(belief, graph, thing),
            collection=snapshot.record.collection.title,
            licence=snapshot.record.collection.licence,
            sections=tuple(s for s in self._sections(thing, kinds) if s.groups),
            exhibits=(*shown, *pieces),
            more=more,
            cautions=tuple(g for caution in cautions_for(kinds) for g in _caution(caution)),
        )

    def _sections(self, thing: URIRef, kinds: tuple[str, ...]) -> Iterator[Section]:
        snapshot, times = self._snapshot, self._snapshot.chronology
        belief, graph = snapshot.belief, snapshot.graph
        found = self._findings.get(str(thing), [])
        disputed = in_dispute.disputed_statements(belief, graph, found, thing)
        groups: dict[str, Iterable[Group]] = {
            "known": known.known_groups(belief, graph, self._lists, thing, disputed),
            "disputed": chain(
                in_dispute.disputed_groups(belief, graph, found),
                reckoned.clash_groups(times, graph, thing),
            ),
            "withdrawn": in_dispute.withdrawn_groups(graph, self._withdrawn.get(str(thing), ())),
            "inferred": in_dispute.inferred_groups(
                belief, graph, snapshot.closure, thing, self._inferred.get(str(thing), ())
            ),
            "reckoned": chain(
                reckoned.reckoned_groups(belief, graph, times, thing, kinds),
                reckoned.change_groups(self._lists, graph, thing),
                reckoned.stated_groups(snapshot.holding, graph, thing),
                crossed.crossing_groups(self._crossings, graph, thing),
            ),
        }
        for name, some in groups.items():
            yield Section(name, _HEADINGS[name], tuple(some))


def _caution(caution: Caution) -> Iterator[Group]:
    """Tell a caution, then every limit that goes with it, with its source and standing."""
    source = f"{caution.source} ({caution.standing})" if caution.source else "Common practice"
    yield Group(caution.heading, (Statement(caution.text, [Note(source, "rule")]),))
    told = []
    for limit in caution.limits:
        year = f", {limit.year}" if limit.year else ""
        note = Note(f"{limit.authority}{year} ({limit.standing})", "rule")
        told.append(Statement(str(limit), [note]))
    if told:
        yield Group("Limits that authorities set, in the tests they prescribe", tuple(told), True)
