"""Who came of whom, on a time axis, one lane for each pottery."""

from collections.abc import Sequence
from functools import partial

from rdflib import URIRef

from glost.answer.snapshot import Snapshot
from glost.publish.pictures.bars import run_legend
from glost.publish.pictures.canvas import Canvas, Point
from glost.publish.pictures.family_layout import Layout, Shelves, lay_out
from glost.publish.pictures.family_ways import MemberPlace, Route
from glost.publish.pictures.frame import Draw, SheetFrame
from glost.publish.pictures.lives import Lives, basis
from glost.publish.pictures.model import Basis, Family, Lane, Life, Member, Tie, together
from glost.publish.pictures.picture import Drawing, PictureWords
from glost.publish.pictures.style import (
    BAND,
    INK,
    LONG,
    MARGIN,
    PAPER,
    QUIET,
    RELATION_INK,
    RULE,
    RUST,
    SHORT,
    SMALL,
    TINY,
)
from glost.publish.pictures.subjects import Subject, shapes_of
from glost.publish.pictures.timeline import Axis, run
from glost.trade.lineage import Lineage, LineageLink, families, lineage, relations
from glost.trade.lineage import family as kindred
from glost.words.english import count, joined
from glost.words.labels import label
from glost.words.pictures import BASIS, basis_cells, cited, rests_on, standing, told_of
from glost.words.spans import interval

_NO_MAKER = "Maker not said"


def family(snapshot: Snapshot, *things: URIRef) -> Family:
    """Make the families of some things, or all families of the collection side by side.

    Parameters
    ----------
    snapshot
        The collection.
    things
        A member of each family; none for every family of two or more.
    """
    whole = lineage(snapshot.belief)
    if not things:
        members = [each for group in families(whole) for each in group]
        part, title = whole.among(members), f"Lineage: {snapshot.record.collection.title}"
    else:
        kin = [each for thing in things for each in kindred(whole, thing).things]
        names = joined(label(thing, snapshot.words) for thing in things)
        part, title = whole.among(kin), f"The family of {names}"
    return _Maker(snapshot, whole, part).make(title)


class _Maker:
    def __init__(self, snapshot: Snapshot, whole: Lineage, part: Lineage) -> None:
        self._snapshot, self._whole, self._part = snapshot, whole, part
        self._lives = Lives(snapshot)

    def make(self, title: str) -> Family:
        part = self._part
        members = [each for each in part.things if part.kind(each) not in ("pottery", "person")]
        firms = {each for each in part.things if part.kind(each) == "pottery"}
        lanes = self._lanes(members, firms)
        places = {firm: at for at, firm in enumerate(lanes)}
        ordered = sorted(members, key=lambda each: (self._begin(each), str(each)))
        at = {each: place for place, each in enumerate(ordered)}
        ties, successions = [], []
        for link in self._whole.links:
            if link.earlier in at and link.later in at:
                ties.append(self._tie(link, at))
            elif link.earlier in places and link.later in places:
                successions.append(self._tie(link, places))
        return Family(
            title,
            tuple(self._lane(firm) for firm in lanes),
            tuple(self._member(each, places) for each in ordered),
            tuple(ties),
            tuple(successions),
            self._lives.note,
        )

    def _begin(self, thing: URIRef) -> float:
        days = (*self._lives.life(thing).begin, *self._lives.life(thing).end)
        return min((day for day in days if day is not None), default=10**9)

    def _firm(self, thing: URIRef) -> URIRef | None:
        return next(iter(self._whole.maker(thing)), None)

    def _lanes(self, members: list[URIRef], firms: set[URIRef]) -> list[URIRef | None]:
        """Order lanes by their first member; a successor follows the firm it succeeded."""
        first: dict[URIRef | None, float] = {}
        for each in members:
            firm = self._firm(each)
            first[firm] = min(first.get(firm, 10**9), self._begin(each))
        for each in firms:
            first.setdefault(each, self._begin(each))
        ordered: list[URIRef | None] = []
        waiting = sorted(first, key=lambda firm: (first[firm], str(firm)))
        after = {
            link.earlier: link.later
            for link in reversed(self._whole.links)
            if link.relation.key == "succeeded"
        }
        for firm in waiting:
            while firm is not None and firm in first and firm not in ordered:
                ordered.append(firm)
                firm = after.get(firm)
            if firm is None and None in first and None not in ordered and firm in waiting:
                ordered.append(None)
        return ordered

    def _lane(self, firm: URIRef | None) -> Lane:
        if firm is None:
            return Lane(_NO_MAKER)
        return Lane(
            label(firm, self._snapshot.words),
            self._lives.life(firm),
            str(firm),
            self._lives.basis(firm),
        )

    def _member(self, thing: URIRef, places: dict[URIRef | None, int]) -> Member:
        hands = [link for link in self._whole.of(thing) if link.role and link.later == thing]
        note = ", ".join(
            f"{link.role} {self._whole.name(link.earlier)}{'' if link.sure else '?'}"
            for link in hands
        )
        rests = self._lives.basis(thing)
        for link in hands:
            rests = rests + self._basis(link)
        return Member(
            label(thing, self._snapshot.words),
            places[self._firm(thing)],
            self._lives.life(thing),
            note,
            str(thing),
            rests,
        )

    def _tie(self, link: LineageLink, at: dict[URIRef, int] | dict[URIRef | None, int]) -> Tie:
        return Tie(
            at[link.earlier],
            at[link.later],
            link.relation.key,
            link.certainty,
            self._lives.clashes(link.statements),
            self._basis(link),
        )

    def _basis(self, link: LineageLink) -> Basis:
        return basis(link.claims, self._snapshot.words)


def family_in_words(family: Family) -> PictureWords:
    """Tell a family: a row for each member, then a row for each tie."""
    columns = ("member", "lane", "relation", "other", "certainty", "began", "ended", "standing")
    names = [member.name for member in family.members]
    rows = [
        (
            member.name,
            family.lanes[member.lane].name,
            member.note,
            "",
            "",
            interval(member.life.begin),
            interval(member.life.end),
            standing(member.life),
            *basis_cells(member.basis),
        )
        for member in family.members
    ]
    lanes = [lane.name for lane in family.lanes]
    for among, ties in ((names, family.ties), (lanes, family.successions)):
        for tie in ties:
            says = relations()[tie.relation].says
            fate = "disputed" if tie.disputed else ""
            ends = (among[tie.later], "", says, among[tie.earlier])
            rows.append((*ends, tie.certainty, "", "", fate, *basis_cells(tie.basis)))
    drawn = len(family.ties) + len(family.successions)
    summary = (
        f"A family of {len(names)} on a time axis, in "
        f"{count(len(lanes), 'lane')}, with {count(drawn, 'tie')}."
    )
    told = [f"{row[0]} {row[2]} {row[3]}" for row in rows[len(names) :]]
    summary += f" {'; '.join(told)}." if told else ""
    return PictureWords(summary, (*columns, *BASIS), tuple(rows))


_BAR = 4.6
_AXES = 17.0
_ROOMY, _TIGHT = 21.0, 16.5
_DISC = 4.6
_POSSIBLE, _DISPUTED = (3.2, 2.2), (5.0, 1.6, 1.0, 1.6)


def family_tree(family: Family) -> Drawing:
    """Draw a family on a time axis.

    Parameters
    ----------
    family
        The family.

    Returns
    -------
    Drawing
        One sheet: on its side if it fits so, else upright; a family too large for either is laid
        out on a larger sheet of the same proportions, to be reduced when printed.
    """
    parts = [lane.basis for lane in family.lanes] + [member.basis for member in family.members]
    parts += [tie.basis for tie in (*family.ties, *family.successions)]
    basis = together(parts)
    wide, pitch = _size(family, basis)
    return Drawing(
        family.title, family_in_words(family), (partial(_sheet, family, basis, wide, pitch),)
    )


def _size(family: Family, basis: Basis) -> tuple[float, float]:
    frame = _frame(family, basis)
    scale = 1.0
    shelves: Shelves = {}
    while True:
        for wide, high, pitch in (
            (LONG, SHORT, _ROOMY),
            (SHORT, LONG, _ROOMY),
            (LONG, SHORT, _TIGHT),
            (SHORT, LONG, _TIGHT),
        ):
            top = frame.head(wide * scale) + _AXES
            bottom = lay_out(family, wide * scale, top, pitch, None, shelves).bottom
            if bottom + _AXES + frame.foot(wide * scale) <= high * scale:
                return wide * scale, pitch
        scale *= 1.05


def _frame(family: Family, basis: Basis) -> SheetFrame:
    return SheetFrame(family.title, family.note, rests_on(basis), _legend(family))


def _legend(family: Family) -> list[tuple[str, Draw]]:
    ties = (*family.ties, *family.successions)
    found = run_legend(family.members, set())
    used = {tie.relation for tie in ties}
    for key, relation in relations().items():
        if key in used:
            # The arrow runs from the earlier to the later, and so does what is said of it.
            tie = Tie(0, 0, key)
            found.append((relation.said_back, partial(_swatch, tie, not relation.mutual)))
    some = next(iter(sorted(used)), "copied")
    if any(_unsure(tie) for tie in ties):
        found.append(("at most possible", partial(_swatch, Tie(0, 0, some, "possible"), True)))
    if any(tie.disputed for tie in ties):
        found.append(
            ("cannot be so as dated", partial(_swatch, Tie(0, 0, some, disputed=True), True))
        )
    return found


def _swatch(tie: Tie, arrow: bool, canvas: Canvas, x: float, y: float) -> None:
    _tie(canvas, Route(tie, ((x, y), (x + 24, y)), (x + 9, y), arrow))


def _unsure(tie: Tie) -> bool:
    return tie.certainty in ("possible", "doubtful")


def _sheet(family: Family, basis: Basis, wide: float, pitch: float) -> Canvas:
    frame = _frame(family, basis)
    mutual = [key for key, relation in relations().items() if relation.mutual]
    layout = lay_out(family, wide, frame.head(wide) + _AXES, pitch, mutual)
    canvas = Canvas(wide, layout.bottom + _AXES + frame.foot(wide))
    _lanes(canvas, family, layout)
    told = [*(_told(family, tie) for tie in family.ties)]
    told += [_told(family, tie, firms=True) for tie in family.successions]
    for route, says in zip(layout.routes, told, strict=True):
        with canvas.part(told=says):
            _tie_line(canvas, route)
    for member, place in zip(family.members, layout.places, strict=True):
        if place.dated:
            with canvas.part(member.about, told_of(member.name, member.life, member.basis)):
                run(canvas, layout.axis, member.life, place.y, _BAR)
    for route, says in zip(layout.routes, told, strict=True):
        with canvas.part(told=says):
            _tie_ends(canvas, route)
    for member, place in zip(family.members, layout.places, strict=True):
        with canvas.part(member.about, told_of(member.name, member.life, member.basis)):
            _name(canvas, member, place)
    frame.draw(canvas)
    return canvas


def _lanes(canvas: Canvas, family: Family, layout: Layout) -> None:
    inner = canvas.wide - 2 * MARGIN
    for number, lane in enumerate(layout.lanes):
        if number % 2 == 0:
            canvas.box(MARGIN, lane.top, inner, lane.bottom - lane.top, fill=BAND)
        for line, text in enumerate(lane.lines):
            y = lane.top + 8 + line * SMALL * 1.3
            canvas.text(MARGIN + 4, y, text, SMALL, bold=False, ink=INK)
    layout.axis.draw(canvas, layout.top, layout.bottom)
    if any(not place.dated for place in layout.places):
        x = layout.axis.left - 4
        canvas.line([(x, layout.top), (x, layout.bottom)], ink=RULE, weight=0.6)
        canvas.text(
            x - 2, layout.top - 7, "no date known", TINY, ink=QUIET, italic=True, align="right"
        )
    for each, place in zip(family.lanes, layout.lanes, strict=True):
        if each.life.known:
            _firm(canvas, layout.axis, each.life, place.firm)


def _firm(canvas: Canvas, axis: Axis, life: Life, y: float) -> None:
    """Draw a firm's own life as a line; dotted where its end or beginning is open."""
    days = [day for day in (*life.begin, *life.end) if day is not None]
    left, right = axis.at(min(days)), axis.at(max(days) + 1)
    canvas.line([(left, y), (right, y)], ink=QUIET, weight=1.6)
    for known, x, far in ((life.begin, left, axis.left), (life.end, right, axis.right)):
        if None in known:
            canvas.line([(x, y), (far, y)], ink=QUIET, weight=0.9, dashes=(1.0, 2.0))
        else:
            canvas.line([(x, y - 2.4), (x, y + 2.4)], ink=QUIET, weight=0.9)


def _name(canvas: Canvas, member: Member, place: MemberPlace) -> None:
    ink = RUST if member.life.disputed else INK
    under = BAND if member.lane % 2 == 0 else PAPER
    canvas.text(place.name_x, place.name_y, place.name, SMALL, ink=ink, halo=under)
    if place.note:
        x = place.name_end
        canvas.text(
            x, place.name_y, place.note, TINY, ink=QUIET, italic=True, align="right", halo=under
        )
    if not place.dated:
        x, y = place.left, place.y
        canvas.shape(
            [(x - 3, y), (x, y - 3), (x + 3, y), (x, y + 3)], fill=PAPER, ink=INK, weight=0.8
        )


def _told(family: Family, tie: Tie, *, firms: bool = False) -> str:
    """Say what a tie says and rests on."""
    among = [each.name for each in (family.lanes if firms else family.members)]
    certainty = f", {tie.certainty}" if tie.certainty else ""
    says = f"{among[tie.later]} {relations()[tie.relation].says} {among[tie.earlier]}{certainty}."
    disputed = " Cannot be so as dated." if tie.disputed else ""
    return f"{says}{disputed} {cited(tie.basis)}".strip()


def _tie(canvas: Canvas, route: Route) -> None:
    _tie_line(canvas, route)
    _tie_ends(canvas, route)


def _ink(tie: Tie) -> str:
    return RUST if tie.disputed else RELATION_INK.get(tie.relation, INK)


def _tie_line(canvas: Canvas, route: Route) -> None:
    tie = route.tie
    dashes: tuple[float, ...] = ()
    if tie.disputed:
        dashes = _DISPUTED
    elif _unsure(tie):
        dashes = _POSSIBLE
    canvas.line(route.points, ink=_ink(tie), weight=1.0, dashes=dashes)


def _tie_ends(canvas: Canvas, route: Route) -> None:
    ink = _ink(route.tie)
    start, end = route.points[0], route.points[-1]
    if route.arrow:
        canvas.dot(*start, 1.7, fill=ink)
        _arrow(canvas, route.points[-2], end, ink)
    else:
        for at in (start, end):
            canvas.dot(*at, 1.9, fill=PAPER, ink=ink, weight=0.9)
    _letter(canvas, route.tie, route.letter, ink)


def _arrow(canvas: Canvas, before: Point, end: Point, ink: str) -> None:
    way = 1 if end[0] >= before[0] else -1
    x, y = end
    canvas.shape([(x, y), (x - way * 4.4, y - 2.4), (x - way * 4.4, y + 2.4)], fill=ink)


def _letter(canvas: Canvas, tie: Tie, at: Point, ink: str) -> None:
    x, y = at
    if tie.disputed:
        side = _DISC * 1.35
        corners: Sequence[Point] = [(x - side, y), (x, y - side), (x + side, y), (x, y + side)]
        canvas.shape(corners, fill=PAPER, ink=ink, weight=1.0)
    else:
        canvas.dot(x, y, _DISC, fill=PAPER, ink=ink, weight=0.9)
    letter = relations()[tie.relation].letter
    canvas.text(x, y + 0.1, letter, 6.2, ink=ink, bold=True, align="center")


def _drawn(snapshot: Snapshot, of: str) -> Drawing:
    return family_tree(family(snapshot, *shapes_of(snapshot, of, "shape", "decal", "treatment")))


SUBJECT = Subject("any member; without one, every family", _drawn, lists=(("", "shape"),))
