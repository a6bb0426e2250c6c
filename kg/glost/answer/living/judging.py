"""What is judged of lists, kept up to date: only what a change touches is judged again.

Who was first, last and alone to have a form is judged of the form, in a pottery or among all shapes
on record. What lists, pieces and sources say of a shape is read by itself, and what was looked at
for it is noted; where something else is said of a shape now, or it is dated otherwise, the forms in
which it counts are judged again. All is read as soon as a change is made, so that it can still be
judged how things stood before it.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeAlias

from rdflib import Graph, URIRef
from rdflib.namespace import PROV

from glost.answer.judged import judgement, judgements, name, stated
from glost.answer.living.tracing import Look, Notes, TracedBelief, seen_by
from glost.answer.snapshot import Snapshot
from glost.names import GLOST
from glost.record.claims import Triple
from glost.record.patching import Shift
from glost.trade.assortments.having import Having
from glost.trade.assortments.holding import Holding
from glost.trade.assortments.judging import Judge, Judgement
from glost.trade.assortments.lists import Article, Lists, following_of
from glost.trade.assortments.order import RELATING, Order
from glost.words.labels import Words

Group: TypeAlias = tuple[URIRef, URIRef | None]
"""A form, and the pottery among whose shapes it is judged; None among all on record."""

_ORDERING = (GLOST.subjectRun, GLOST.objectRun)


@dataclass
class Judged:
    """What is judged of lists at one time.

    Attributes
    ----------
    having
        Which shape had what; all of it is read.
    base
        The collection's base IRI.
    graph
        What is believed, with the vocabulary, for wording.
    labels
        What shapes and lists are called.
    follows
        By shape, which of its lists follows which.
    stated
        What was judged of absences, superlatives and totals, and of what came instead of what.
    """

    having: Having
    base: str
    graph: Graph = field(repr=False)
    labels: dict[URIRef, str] = field(default_factory=dict, repr=False)
    follows: dict[URIRef, frozenset[Triple]] = field(default_factory=dict, repr=False)
    stated: frozenset[Triple] = field(default=frozenset(), repr=False)
    _groups: dict[Group, Mapping[URIRef, Judgement]] = field(default_factory=dict, repr=False)

    @property
    def shapes(self) -> tuple[URIRef, ...]:
        """Every shape on record."""
        return self.having.lists.shapes

    @cached_property
    def listed(self) -> Mapping[URIRef, frozenset[URIRef]]:
        """The shapes in which each list offers anything."""
        found: dict[URIRef, set[URIRef]] = defaultdict(set)
        for shape in self.follows:
            for each in self.having.lists.of(shape):
                found[each.list].add(shape)
        return {source: frozenset(shapes) for source, shapes in found.items()}

    @property
    def saying(self) -> Iterator[URIRef]:
        """The sources that say of a shape that it was first, last or alone."""
        for each in self.having.stated.superlatives:
            yield from (claim.passage.source for claim in each.claims)

    @cached_property
    def _judge(self) -> Judge:
        known = {str(thing): text for thing, text in self.labels.items()}
        return Judge(self.having, Words(self.graph, known))

    def of(self, group: Group) -> Mapping[URIRef, Judgement]:
        """Return the judgements of a form in a pottery, or among all, by IRI."""
        if group not in self._groups:
            found = self._judge.of_group(*group)
            self._groups[group] = {name(each, self.base): each for each in found}
        return self._groups[group]

    def groups_of(self, shape: URIRef) -> Iterator[Group]:
        """Yield every group in which a shape counts."""
        makers = [p for p, shapes in self.having.lists.makers.items() if shape in shapes]
        for form in self.having.forms:
            yield from ((form, among) for among in (None, *makers))

    def keep(self, before: "Judged", but: Iterable[Group]) -> None:
        """Take over what was judged before, but for some groups."""
        again = set(but)
        self._groups = {each: its for each, its in before._groups.items() if each not in again}

    def statements(self) -> Iterator[Triple]:
        """Yield everything that is reckoned of lists; see `Snapshot.reckoned_of_lists`."""
        yield from self.always
        every = (each for group in self._judge.groups() for each in self.of(group).values())
        yield from judgements(every, self.base)

    @property
    def always(self) -> frozenset[Triple]:
        """What questions are always put to: all but who was first, last and alone."""
        return self.stated.union(*self.follows.values())


@dataclass(frozen=True)
class Rejudged:
    """What a change does to who was first, last and alone.

    Attributes
    ----------
    same, come, gone
        Of the judgements that it touches, those statements that are as they were, those that
        come and those that go. In place of the claims under a judgement it names itself.
    losing
        The judgements that no longer rest on a claim that went.
    """

    same: frozenset[Triple]
    come: frozenset[Triple]
    gone: frozenset[Triple]
    losing: frozenset[URIRef]


class Judging:
    """What is judged of lists, before the last change and after it.

    Parameters
    ----------
    snapshot
        The collection to begin with.

    Attributes
    ----------
    before, now
        What is judged before and after the last change; both the same if there was none.
    """

    def __init__(self, snapshot: Snapshot) -> None:
        self._notes = Notes()
        self._looks: dict[URIRef, frozenset[Look]] = {}
        self._seen: dict[Look, set[URIRef]] = defaultdict(set)
        self._stated_looks: frozenset[Look] = frozenset()
        self._groups: set[Group] = set()
        offered = set(snapshot.belief.named(None, GLOST.ofShape))
        shapes = offered | set(snapshot.belief.things(GLOST.Shape))
        self.now = self._read(snapshot, Order(snapshot.chronology), shapes)
        self._call(snapshot, ())
        self._state(snapshot)
        self.before = self.now

    # -- reading -----------------------------------------------------------------------------------

    def _read(
        self, snapshot: Snapshot, order: Order, touched: set[URIRef], known: Judged | None = None
    ) -> Judged:
        """Read all there is of the shapes that are touched; the others are known."""
        kept = {} if known is None else {s: f for s, f in known.follows.items() if s not in touched}
        own = {} if known is None else {shape: known.having.own(shape) for shape in kept}
        lists = Lists(
            TracedBelief(snapshot.belief, self._notes),
            snapshot.record.collection.margin,
            snapshot.chronology,
            {} if known is None else {shape: known.having.lists.of(shape) for shape in kept},
        )
        having = Having(lists, order, own)
        self._notes.looks = set()
        _ = lists.ordering, lists.makers
        for shape in sorted(touched):
            self._note(shape, having)
            kept[shape] = frozenset(following_of(lists.of(shape)))
        order.look_up(lists.shapes)
        having.look_up()
        if known is not None:
            having.keep(known.having, touched)
        labels = {} if known is None else dict(known.labels)
        stated_ = frozenset() if known is None else known.stated
        return Judged(having, snapshot.record.base, snapshot.graph, labels, kept, stated_)

    def _note(self, shape: URIRef, having: Having) -> None:
        """Read a shape, and note what is looked at for it."""
        for key in self._looks.pop(shape, ()):
            self._seen[key].discard(shape)
            if not self._seen[key]:
                del self._seen[key]
        noted, self._notes.looks = self._notes.looks, set()
        having.own(shape)
        self._looks[shape] = frozenset(self._notes.looks)
        self._notes.looks = noted
        for key in self._looks[shape]:
            self._seen[key].add(shape)

    def _call(self, snapshot: Snapshot, renamed: Iterable[URIRef]) -> None:
        """Look up what shapes and lists are called: those new, and those called otherwise now."""
        labels = self.now.labels
        for thing in renamed:
            labels.pop(thing, None)
        for thing in (*self.now.shapes, *self.now.listed, *self.now.saying):
            if thing not in labels:
                labels[thing] = snapshot.words.label(thing)

    def _state(self, snapshot: Snapshot) -> None:
        """Judge what is stated of lists, and what came instead of what."""
        having, looks = self.now.having, set[Look]()
        self._notes.looks = looks
        holding = Holding(having, snapshot.words, snapshot.record.collection.margin)
        self.now.stated = frozenset(stated(having, holding, snapshot.chronology))
        self._stated_looks = frozenset(looks)

    # -- a change ----------------------------------------------------------------------------------

    def change(
        self,
        snapshot: Snapshot,
        shift: Shift,
        things: frozenset[str],
        renamed: frozenset[URIRef],
    ) -> None:
        """Take a change in.

        Parameters
        ----------
        snapshot
            The collection after it.
        shift
            What it does to what is believed.
        things
            IRIs of the things of which the chronology was reckoned again.
        renamed
            The things that may be called otherwise.
        """
        before, keys = self.now, seen_by(shift.statements)
        shapes = set(snapshot.belief.things(GLOST.Shape))
        touched = {shape for key in keys for shape in self._seen.get(key, ())}
        offered = {o for _, v, o in shift.statements if v == GLOST.ofShape if isinstance(o, URIRef)}
        touched |= (offered | shapes) - before.follows.keys()
        for source in before.listed.keys() & set(map(URIRef, things)):
            touched |= before.listed[source]
        if any(verb in _ORDERING for _, verb, _ in shift.statements):
            touched |= before.follows.keys()
        again = set(things)
        for shape in shapes.difference(before.shapes):
            if str(shape) not in things and snapshot.chronology.of_thing(str(shape)):
                again |= set(map(str, shapes))  # it may have stood before others all along
        order = before.having.order.believing(
            snapshot.chronology,
            again,
            related=shapes != set(before.shapes)
            or any(verb in RELATING for _, verb, _ in shift.statements),
        )
        self.before = before
        self.now = self._read(snapshot, order, touched, before)
        self._call(snapshot, renamed)
        if touched or things or renamed or not self._stated_looks.isdisjoint(keys):
            self._state(snapshot)
        sources = {URIRef(str(s).partition("#")[0]) for s, _, _ in shift.statements}
        self._groups = set(self._affected(touched, set(map(URIRef, again)), sources))
        self.now.keep(before, self._groups)

    def _affected(
        self, touched: set[URIRef], again: set[URIRef], sources: set[URIRef]
    ) -> Iterator[Group]:
        """Yield the groups of which something may be judged otherwise.

        Parameters
        ----------
        touched
            The shapes that were read again.
        again
            The shapes of which the order was reckoned again.
        sources
            What the change speaks of: rows tell the years of lists.
        """
        was, now = self.before, self.now
        both = set(was.shapes).intersection(now.shapes)
        placed = {s for s in again & both if _placed(was, s) != _placed(now, s)}
        placed |= now.having.order.related_otherwise(was.having.order).intersection(now.shapes)
        placed |= set(was.shapes) ^ set(now.shapes)
        said, says = (set(each.having.stated.superlatives) for each in (was, now))
        placed |= {each.of for each in said ^ says}
        called = {x for x in now.labels if now.labels[x] != was.labels.get(x, now.labels[x])}
        for thing in called | sources:
            placed |= {thing} & called
            placed |= was.listed.get(thing, frozenset()) | now.listed.get(thing, frozenset())
        if called:  # those that say so are named
            placed |= {each.of for each in says}
        makers = (was.having.lists.makers, now.having.lists.makers)
        for pottery in makers[0].keys() | makers[1].keys():
            if makers[0].get(pottery) != makers[1].get(pottery):
                for one in (was, now):
                    yield from ((form, pottery) for form in one.having.forms)
        for shape in placed:
            yield from (*was.groups_of(shape), *now.groups_of(shape))
        differ = now.having.stated_otherwise(was.having).intersection(now.shapes)
        for shape in (touched | differ) - placed:
            for group in {*was.groups_of(shape), *now.groups_of(shape)}:
                article = Article(group[0])
                if was.having.had(shape, article) != now.having.had(shape, article):
                    yield group

    def rejudged(self, went: Iterable[str], sources: Iterable[URIRef]) -> Rejudged:
        """Judge again what the last change touches, as it was and as it is.

        Parameters
        ----------
        went
            IRIs of the claims that went.
        sources
            What the change speaks of.
        """
        went, lists = tuple(went), frozenset(sources)
        same, come, gone, losing = set[Triple](), set[Triple](), set[Triple](), set[URIRef]()
        for group in sorted(self._groups, key=str):
            old, new = self.before.of(group), self.now.of(group)
            for iri in old.keys() | new.keys():
                one, other = old.get(iri), new.get(iri)
                lost = one is not None and other is not None and any(
                    one.resting.rests(claim) and not other.resting.rests(claim) for claim in went
                )  # fmt: skip
                if lost:
                    losing.add(iri)
                listing = (e.list for each in (one, other) if each is not None for e in each.lists)
                if one != other or lost or not lists.isdisjoint(listing):
                    was, now = (_told(each, iri, self.now.base) for each in (one, other))
                    same |= was & now
                    come |= now - was
                    gone |= was - now
        return Rejudged(frozenset(same), frozenset(come), frozenset(gone), frozenset(losing))

    def resting(self, iri: str, *, before: bool) -> tuple[str, ...] | None:
        """Return the IRIs of the claims under a judgement, sorted; None if it is none.

        Parameters
        ----------
        iri
            What may be the IRI of a judgement that the last change touches.
        before
            Whether as it was before the change.
        """
        one = self.before if before else self.now
        for group in self._groups:
            found = one.of(group).get(URIRef(iri))
            if found is not None:
                return found.resting.iris
        return None


def _told(each: Judgement | None, iri: URIRef, base: str) -> frozenset[Triple]:
    """Return a judgement as statements, itself named in place of the claims under it."""
    if each is None:
        return frozenset()
    return frozenset((*judgement(each, base), (iri, PROV.wasDerivedFrom, iri)))


def _placed(one: Judged, shape: URIRef) -> object:
    """Return all by which a shape is set in the order in which shapes were brought in."""
    order = one.having.order
    claims = [order.claims(shape, late=late) for late in (False, True)]
    return order.bounds(shape), order.ordered(shape), claims
