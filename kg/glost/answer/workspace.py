"""A workspace: a collection opened once, changed as one works, that says what each change does."""

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

from rdflib import URIRef

from glost.answer.affected import Affected, compare, put
from glost.answer.consequences import Consequences, Following, following, moved, said
from glost.answer.desk import Desk
from glost.findings import Finding
from glost.reason.rules import reading_order
from glost.record.changes import Change, changed
from glost.record.claims import Claim, Triple
from glost.record.record import Record


class Workspace:
    """A collection in memory, with all that is made of it, kept up to date change by change.

    Nothing is written: files are changed by `glost.record.correcting` and the like, and what was
    changed there is told here (`glost.record.changes.between`).

    Parameters
    ----------
    desk
        The collection as it is to begin with. It is the workspace's own from then on.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._findings = desk.findings()
        self._undone: list[Change] = []

    @classmethod
    def open(
        cls, path: Path, as_of: date | None = None, progress: Callable[[str], None] | None = None
    ) -> "Workspace":
        """Open a collection's folder.

        Raises
        ------
        glost.record.errors.RecordErrors
            If it cannot be read.
        """
        return cls(Desk(path, as_of, *([progress] if progress else [])))

    @property
    def desk(self) -> Desk:
        """All that is made of the collection as it is now. It must not be kept beyond a change."""
        return self._desk

    @property
    def record(self) -> Record:
        """The record as it is now."""
        return self._desk.record

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Everything found wrong now; see `glost.answer.findings.find`."""
        return self._findings

    def apply(self, change: Change) -> Consequences:
        """Make a change and say what it brings about.

        Parameters
        ----------
        change
            The claims that come and go.

        Returns
        -------
        Consequences
            All but its answers are worked out; those are when they are asked for.

        Raises
        ------
        KeyError
            If a claim that is to be removed is not there; nothing is then changed.
        """
        back = self._back(change)
        found = self._made(change)
        self._undone.append(back)
        return found

    def undo(self) -> Consequences:
        """Take the last change back that was not taken back, so that all is as before it.

        Raises
        ------
        IndexError
            If there is none.
        """
        return self._made(self._undone.pop())

    def _back(self, change: Change) -> Change:
        """Return the change that undoes a change."""
        claims = self.record.claims
        gone = {claim.iri: claim for claim in claims.only(change.removed)}
        for iri in change.removed:
            _ = gone[iri]  # one that is not there is an error
        new = {claim.iri for claim in change.added}
        instead = {claim.iri: claim for claim in claims.only(new)}
        back = {**gone, **instead}
        return Change(
            tuple(back[iri] for iri in sorted(back)),
            tuple(sorted(new - instead.keys())),
            self.record,
        )

    def _made(self, change: Change) -> Consequences:
        before, was = self._desk, self._findings
        self._desk = Desk.of(changed(before.record, change), before.as_of)
        self._findings = self._desk.findings()
        return _compared(before, self._desk, was, self._findings, change)


def _compared(
    before: Desk,
    after: Desk,
    was: tuple[Finding, ...],
    now: tuple[Finding, ...],
    change: Change,
) -> Consequences:
    """Compare everything before a change with everything after it."""
    old, new = (_believed(desk) for desk in (before, after))
    came = [claim for iri, claim in new.items() if not _says_so(old.get(iri), claim)]
    went = [claim for iri, claim in old.items() if not _says_so(new.get(iri), claim)]
    touched = tuple(dict.fromkeys([*change.added, *came, *went]))

    def asked() -> Iterator[Affected]:
        yield from compare(put(before.answers, touched), after.answers)

    inferred = [set(desk.closure.inferred) for desk in (before, after)]
    gone, found = _apart(was, now), _apart(now, was)
    follows = _following(after, inferred[1] - inferred[0])
    falls = _following(before, inferred[0] - inferred[1])
    points = [
        moved(point, before.chronology.bounds(point), after.chronology, after.graph)
        for point in sorted({*before.chronology.points(), *after.chronology.points()})
        if before.chronology.bounds(point) != after.chronology.bounds(point)
    ]
    statements = [*(t for c in (*came, *went) for t in c.statements)]
    statements += [each.triple for each in (*follows, *falls)]
    stale = {str(term).partition("#")[0] for s, _, o in statements for term in (s, o)
             if isinstance(term, URIRef) and str(term).startswith(after.record.base)}  # fmt: skip
    stale |= {str(each.point).partition("#")[0] for each in points}
    stale |= {about for each in (*found, *gone) for about in each.about}
    return Consequences(
        added=said(came, after.words),
        withdrawn=said(went, before.words),
        follows=follows,
        falls=falls,
        moved=tuple(points),
        new=found,
        gone=gone,
        stale=tuple(sorted(stale)),
        called=before.words,
        _asked=asked,
    )


def _believed(desk: Desk) -> dict[URIRef, Claim]:
    return {claim.iri: claim for claim in desk.belief.claims}


def _says_so(one: Claim | None, other: Claim) -> bool:
    return one is not None and one == other and one.statements == other.statements


def _apart(some: tuple[Finding, ...], others: tuple[Finding, ...]) -> tuple[Finding, ...]:
    known = set(others)
    return tuple(finding for finding in some if finding not in known)


def _following(desk: Desk, triples: set[Triple]) -> tuple[Following, ...]:
    return tuple(
        following(triple, desk.closure.why(triple), desk.belief, desk.words)
        for triple in sorted(triples, key=reading_order)
    )
