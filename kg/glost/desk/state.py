"""A collection as it is at one time, and how the desk shows it."""

from collections.abc import Iterable, Mapping
from functools import cached_property
from urllib.parse import quote, unquote

from rdflib import URIRef

from glost.answer.answers import Answers
from glost.answer.questions import Answer, question
from glost.answer.remarks import Remark, remarks
from glost.answer.snapshot import Snapshot
from glost.answer.workspace import Workspace
from glost.findings import Finding
from glost.names import GLOST, SCHEMES
from glost.record.claims import Claim, Passage
from glost.record.images import ImageFile, look
from glost.record.provenance import keeper_base, passage_iri
from glost.record.record import Record
from glost.record.sequence import ClaimSequence
from glost.record.spelling import id_of
from glost.report.things.basis import Living, place
from glost.report.things.said import Said
from glost.trade.naming.known import Known
from glost.words.labels import kind_of, label, told_by_claims
from glost.words.lookup import Names

_GATHERED = ("claims", "in_order", "_apart", "findings_about", "_worked")
"""What a `Living` gathers once and keeps as plain values."""


class State:
    """A collection as it is at one time, and how it is shown.

    Parameters
    ----------
    snapshot
        The collection.
    findings
        What disagrees in it; None to look only for what is in dispute about things.
    workspace
        What keeps up to date what pieces are named by and what questions are put to; None for a
        day of which nothing changes.
    """

    def __init__(
        self,
        snapshot: Snapshot,
        findings: tuple[Finding, ...] | None,
        workspace: Workspace | None = None,
    ) -> None:
        self.snapshot = snapshot
        self._workspace = workspace
        self.basis = Living(snapshot, findings)
        self.as_of = snapshot.as_of

    @property
    def record(self) -> Record:
        """The record."""
        return self.snapshot.record

    @property
    def base(self) -> str:
        """Its base IRI."""
        return self.snapshot.record.base

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What disagrees."""
        return self.basis.findings

    @cached_property
    def known(self) -> ClaimSequence:
        """Every claim known on the day, withdrawn ones too."""
        return self.basis.known

    @property
    def count(self) -> int:
        """How many claims are known."""
        return len(self.known)

    @property
    def names(self) -> Names:
        """What things are called."""
        return self.snapshot.names

    @cached_property
    def said(self) -> Said:
        """What words statements."""
        return Said(self.basis)

    @cached_property
    def naming(self) -> Known:
        """What pieces are named by."""
        if self._workspace is not None:
            return self._workspace.naming
        return Known(self.snapshot.belief, self.snapshot.words)

    def ask(self, name: str, given: Mapping[str, str]) -> Answer:
        """Put a named question."""
        if self._workspace is None:
            return self.snapshot.answers.ask(name, **given)
        return question(name).ask(self._workspace.asked(name), **given)

    @property
    def answers(self) -> Answers:
        """What free queries are put to."""
        return self.snapshot.answers if self._workspace is None else self._workspace.answers

    def iri(self, kind: str, name: str) -> URIRef:
        """Name a thing by kind and id."""
        return URIRef(f"{self.base}{kind}/{quote(name, safe='')}")

    @cached_property
    def kept(self) -> Mapping[str, tuple[str, ...]]:
        """The things of other keepers that are read together with this collection, by kind."""
        members = tuple(each.collection.base for each in self.record.collection.members)
        found: dict[str, list[str]] = {}
        for iri in sorted(self.basis.things()) if members else ():
            kind = id_of(iri).partition("/")[0]
            if iri.startswith(members) and kind in self.record.ids:
                found.setdefault(kind, []).append(iri)
        return {kind: tuple(iris) for kind, iris in found.items()}

    def claim(self, name: str) -> Claim | None:
        """Find a claim by id, or by keeper and id, as it is on the day."""
        keeper, colon, rest = name.rpartition(":")
        found = self.basis.claim(self.placed(f"{keeper}{colon}claim/{rest}"))
        if found is None and (other := self.record.claim(name)) is not None:
            found = self.basis.claim(str(other.iri))
        return found

    def placed(self, place: str) -> str:
        """Return the IRI of a place on the desk: ``shape/alder``, ``valley:shape/alder``."""
        iri = self.record.collection.named(place)
        return iri if iri != place else f"{self.base}{place}"

    def thing(self, place: str) -> URIRef | None:
        """Find a thing by kind and id, or kind and the last part of its IRI; None if none is so."""
        elsewhere = self.placed(place)
        if not elsewhere.startswith(self.base):
            named = unquote(elsewhere)
            return next((URIRef(i) for i in self.basis.things() if unquote(i) == named), None)
        kind, _, name = place.partition("/")
        for iri in (URIRef(f"{self.base}{place}"), self.iri(kind, name)):
            if self.basis.about(str(iri)):
                return iri
        if name in self.record.ids.get(kind, ()):
            return self.iri(kind, name)
        plain = unquote(place)
        # An address may come with what an IRI escapes no longer escaped.
        there = (i for i in self.basis.things() if unquote(i.removeprefix(self.base)) == plain)
        return next(map(URIRef, there), None)

    def called(self, iri: str) -> str:
        """Return what a thing is called."""
        return label(URIRef(iri), self.snapshot.words)

    def found(self, iri: str) -> str:
        """Return what a thing among the names is called, without looking it up anew."""
        kind = kind_of(URIRef(iri))
        known = kind != "claim" and not told_by_claims(kind)
        return (known and self.names.label(iri)) or self.called(iri)

    def link(self, iri: str) -> str | None:
        """Return where a thing leads on the desk; None if nowhere."""
        members = self.record.collection.members
        keeper = next((m for m in members if iri.startswith(m.collection.base)), None)
        if keeper is None and not iri.startswith(self.base):
            outside = iri.startswith(("http://", "https://"))
            return None if not outside or iri.startswith((str(GLOST), str(SCHEMES))) else iri
        base, before = self.base, ""
        if keeper is not None:
            base, before = keeper.collection.base, f"{keeper.name}:"
        kind, slash, name = iri.removeprefix(base).partition("#")[0].partition("/")
        if not slash or not name:
            return None
        day = f"?as_of={self.as_of.isoformat()}" if self.as_of else ""
        if kind == "findings":
            return f"/conflicts{day}{'&' if day else '?'}finding={quote(name)}#{quote(name)}"
        if kind == "passage":
            return f"/passage/{before}{name}"
        if kind == "claim":
            return f"/claim/{before}{name}{day}"
        there = kind in self.record.ids or bool(self.basis.about(iri.partition("#")[0]))
        return f"/thing/{before}{kind}/{quote(name)}{day}" if there else None

    def same_as(self, other: "State") -> None:
        """Take over what was gathered of the same collection, in objects of before a change.

        A change that was taken back leaves everything as it was, but what looks things up in the
        closure and the graphs must look in those of now.
        """
        gathered = vars(other.basis)
        vars(self.basis).update({name: gathered[name] for name in _GATHERED if name in gathered})
        for name in ("resting", "pictures"):
            if name in vars(other):
                vars(self)[name] = vars(other)[name]
        self.record.made.update(other.record.made)

    @cached_property
    def remarks(self) -> tuple[Remark, ...]:
        """What was noted of claims that are left open or doubted."""
        return remarks(self.snapshot.belief)

    def noted_on(self, claim: str | URIRef) -> list[Remark]:
        """Return what was noted of a claim, alone or with others."""
        return [each for each in self.remarks if str(claim) in each.on]

    # -- page images -----------------------------------------------------------------------------

    def passage(self, iri: str) -> Passage | None:
        """Find a passage that names a place and that a claim rests on, by its IRI."""
        source = iri.rpartition("/")[2].rpartition(".")[0]
        for claim in self.known.resting_on_named(source):
            if str(passage_iri(keeper_base(claim), claim.passage)) == iri:
                return claim.passage
        return None

    @cached_property
    def resting(self) -> Mapping[Passage, tuple[Claim, ...]]:
        """Of each passage that names a region, the claims that rest on it, by file and row."""
        found: dict[Passage, list[Claim]] = {}
        for claim in sorted(self.known.with_region(), key=place):
            found.setdefault(claim.passage, []).append(claim)
        return {passage: tuple(claims) for passage, claims in found.items()}

    @cached_property
    def pictures(self) -> Mapping[str, tuple[str, ...]]:
        """Of each image file, ``images/p7.png``, the IRIs of the things it is an image of."""
        found: dict[str, set[str]] = {}
        told = self.snapshot.belief.table(frozenset({str(GLOST.image)})).of[str(GLOST.image)]
        for thing, value in told.select("subject", "object").iter_rows():
            file = f"images/{self._kept_by(value)}{value.rsplit('/images/', 1)[-1]}"
            found.setdefault(file, set()).add(thing)
        shown = f"{self.base}public-statement/"

        def order(thing: str) -> tuple[bool, str]:
            return thing.startswith(shown), thing  # what was said of it comes last

        return {file: tuple(sorted(of, key=order)) for file, of in sorted(found.items())}

    def _kept_by(self, iri: str) -> str:
        """Return what stands before the name of another keeper's image."""
        for each in self.record.collection.members:
            if iri.startswith(each.collection.base):
                return f"{each.name}:images/"
        return ""

    def image(self, file: str) -> ImageFile | None:
        """Look at an image file of the collection; None if it is none that can be shown."""
        keeper, own = self.record.collection.keeper(file.removeprefix("images/"))
        found = look(keeper.path, own) if keeper else look(self.record.collection.path, file)
        return found if isinstance(found, ImageFile) else None

    def image_of(self, passage: Passage) -> str:
        """Return the image file that a passage's region is of; empty if that cannot be told."""
        named, _, fragment = passage.region.rpartition("#")
        if "xywh=" not in fragment:
            return ""
        own = [f for f, things in self.pictures.items() if str(passage.source) in things]
        if named:
            return f"images/{self._kept_by(str(passage.source))}{named}"
        return own[0] if len(own) == 1 else ""


def by_kind(things: Iterable[str]) -> dict[str, list[str]]:
    """Part IRIs of things by their kind."""
    found: dict[str, list[str]] = {}
    for iri in sorted(things):
        found.setdefault(id_of(iri).partition("/")[0], []).append(iri)
    return found
