"""What a report is made of: statements that cannot be had without what they rest on.

A report is a tree of values that never change. Whoever makes one says what there is to say, and on
what it rests; how that looks as text, CSV, JSON, Markdown or HTML is the renderers' concern
(`glost.report.as_text` and its neighbours).
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TypeAlias

from msgspec import Struct


class UngroundedError(ValueError):
    """Raised for a statement that rests on nothing."""


class Ref(Struct, frozen=True, omit_defaults=True):
    """A thing as a sentence names it, or a text in a language of its own.

    Attributes
    ----------
    iri
        The thing; empty for a text.
    text
        What it is called here, or the text.
    language
        The language of the text by BCP 47, ``cy``; empty if not known, or that of the report.
    """

    iri: str
    text: str
    language: str = ""

    def __str__(self) -> str:
        """Return what it is called here."""
        return self.text


Sentence: TypeAlias = tuple[str | Ref, ...]
"""Text and the things named in it, in the order in which they are read."""


def plain(sentence: Sentence) -> str:
    """Return a sentence as text alone."""
    return "".join(map(str, sentence))


# -- what statements rest on -----------------------------------------------------------------------


class CitedClaim(Struct, frozen=True):
    """A claim under a statement.

    Attributes
    ----------
    iri
        The claim.
    read_from
        File and row it was read from, ``tables/kilns.csv row 12``.
    place
        Where in its source: locator, and region of a page image or recording; empty if not given.
    certainty
        How sure it is; empty if it does not say.
    recorded
        Who recorded it and when; empty if not said.
    note
        Its remark; empty if none.
    withdrawn
        Why it was withdrawn, on what evidence, by which correction; empty if it stands.
    says
        What it says; empty where that is not told with it.
    """

    iri: str
    read_from: str
    place: str = ""
    certainty: str = ""
    recorded: str = ""
    note: str = ""
    withdrawn: str = ""
    says: str = ""

    @property
    def id(self) -> str:
        """The last part of its IRI, for citing."""
        return self.iri.rsplit("/", 1)[-1]


class CitedPassage(Struct, frozen=True, tag="passage"):
    """A place in a source, with the claims that rest on it.

    Attributes
    ----------
    source
        The source, by its short title and year.
    place
        Page, item or sheet; empty if not given.
    claims
        The claims: at least one.
    """

    source: Ref
    place: str
    claims: tuple[CitedClaim, ...]

    def __post_init__(self) -> None:
        """Refuse a passage on which no claim rests."""
        if not self.source.text.strip() or not self.claims:
            raise UngroundedError("a passage must name a source and the claims that rest on it")

    @property
    def key(self) -> tuple[str, ...]:
        """What makes two passages one: source and place."""
        return "passage", self.source.iri, self.source.text, self.place


class Rule(Struct, frozen=True, tag="rule"):
    """A rule by which something follows or was calculated, or a published rule.

    Attributes
    ----------
    text
        The rule.
    source
        Where it stands; empty if the text says it.
    address
        Where it can be read; empty if nowhere.
    """

    text: str
    source: str = ""
    address: str = ""

    def __post_init__(self) -> None:
        """Refuse a rule that says nothing."""
        if not self.text.strip():
            raise UngroundedError("a rule must say something")

    @property
    def key(self) -> tuple[str, ...]:
        """What makes two rules one."""
        return "rule", self.text, self.source, self.address


class Proof(Struct, frozen=True, tag="proof"):
    """Steps that lead to a statement, each a statement that rests on something.

    Attributes
    ----------
    steps
        The steps: at least one.
    """

    steps: "tuple[Statement, ...]"

    def __post_init__(self) -> None:
        """Refuse a proof without steps."""
        if not self.steps:
            raise UngroundedError("a proof must have a step")


Ground: TypeAlias = CitedPassage | Rule | Proof
Note: TypeAlias = CitedPassage | Rule


class Statement(Struct, frozen=True, rename={"_sentence": "sentence", "_name": "name"}):
    """Something a report says, bound to what it rests on.

    Its sentence cannot be had alone: `told` puts the marks of its notes behind it, and so does
    ``str()``.

    Parameters
    ----------
    _sentence
        What it says.
    grounds
        What it rests on: at least one.
    status
        How it stands, where that is not the ordinary: ``disputed``, ``withdrawn``, ``possibly``;
        else empty.
    _name
        What it tells, such as a property, where the sentence is a value: ``Form``.
    parts
        Statements that belong under it: the sides of a dispute, what may explain something.

    Raises
    ------
    UngroundedError
        If it says nothing, or rests on nothing.
    """

    _sentence: Sentence
    grounds: tuple[Ground, ...]
    status: str = ""
    _name: Sentence = ()
    parts: "tuple[Statement, ...]" = ()

    def __post_init__(self) -> None:
        """Refuse a statement that says nothing, or rests on nothing."""
        if not plain(self._sentence).strip():
            raise UngroundedError("a statement must say something")
        if not self.grounds:
            said = plain(self._sentence)
            raise UngroundedError(f"nothing is given that this rests on: {said}")

    @property
    def notes(self) -> tuple[Note, ...]:
        """The passages and rules it rests on; those of a proof stand at the proof's steps."""
        notes = tuple(each for each in self.grounds if not isinstance(each, Proof))
        return tuple(gathered(notes).values()) if len(notes) > 1 else notes

    @property
    def proofs(self) -> tuple[Proof, ...]:
        """The proofs it rests on."""
        return tuple(each for each in self.grounds if isinstance(each, Proof))

    @property
    def below(self) -> "tuple[Statement, ...]":
        """The statements under it, those of its proofs first."""
        return (*(step for proof in self.proofs for step in proof.steps), *self.parts)

    def named(self, written: Callable[[Sentence], str]) -> str:
        """Return what it tells, written as `written` does; empty if its sentence says that."""
        return written(self._name) if self._name else ""

    def told(self, written: Callable[[Sentence], str], mark: Callable[[Note], str]) -> str:
        """Return its sentence followed by the mark of each note.

        Parameters
        ----------
        written
            Writes a sentence for where it goes.
        mark
            Makes the mark of a note, such as a raised number.

        Raises
        ------
        UngroundedError
            If any mark comes out empty.
        """
        marks = [mark(note) for note in self.notes]
        if not all(each.strip() for each in marks):
            raise UngroundedError(f"a note has no mark: {plain(self._sentence)}")
        return written(self._sentence) + "".join(marks)

    def __str__(self) -> str:
        """Return the statement with what it tells before it and its notes in brackets."""
        name = self.named(plain)
        told = self.told(plain, lambda note: f" [{cited(note)}]")
        return f"{name}: {told}" if name else told

    def __repr__(self) -> str:
        """Return the statement with its notes."""
        return f"<Statement {self}>"

    def all(self) -> "Iterator[Statement]":
        """Yield it and every statement under it, in the order in which they are read."""
        yield self
        for each in self.below:
            yield from each.all()


def cited(note: Note) -> str:
    """Return a note as text: short title, year and place of a source, or a rule with its source."""
    first, second = (
        (note.source.text, note.place)
        if isinstance(note, CitedPassage)
        else (note.text, note.source)
    )
    return ", ".join(part for part in (first, second) if part)


# -- what holds statements -------------------------------------------------------------------------


class Group(Struct, frozen=True, tag="group"):
    """Statements of one sort.

    Attributes
    ----------
    statements
        The statements; those that tell something (``Form``) stand one below the other as a list of
        what is told, several of one name together.
    heading
        What stands above them; empty for none.
    short
        Whether each is a name or little more, so that they may run on in one paragraph.
    folded
        Whether they are to be unfolded by those who want to see them, where that can be done.
    sides
        Whether they are sides of one thing, to stand in columns beside one another.
    """

    statements: tuple[Statement, ...]
    heading: Sentence = ()
    short: bool = False
    folded: bool = False
    sides: bool = False


class Column(Struct, frozen=True):
    """A column of a table.

    Attributes
    ----------
    name
        Its name in files, ``trade_size``.
    title
        Its heading.
    type
        ``text``, ``thing``, ``number``, ``date`` or ``verdict``.
    aside
        Whether it is for programs: it stands in CSV and JSON, and nowhere else.
    """

    name: str
    title: str
    type: str = "text"
    aside: bool = False


Cell: TypeAlias = int | float | str | Ref | Sentence | None
"""A number, a text, a thing, or text and things; None where it is empty."""


class Row(Struct, frozen=True):
    """A row of a table, bound to what it rests on.

    Attributes
    ----------
    cells
        One for each column.
    grounds
        What it rests on: at least one.
    status
        As of a `Statement`.

    Raises
    ------
    UngroundedError
        If it rests on nothing.
    """

    cells: tuple[Cell, ...]
    grounds: tuple[Ground, ...]
    status: str = ""

    def __post_init__(self) -> None:
        """Refuse a row that rests on nothing."""
        if not self.grounds:
            raise UngroundedError(f"nothing is given that this row rests on: {self.texts}")

    @property
    def texts(self) -> tuple[str, ...]:
        """Its cells as texts."""
        return tuple(map(cell_text, self.cells))

    @property
    def notes(self) -> tuple[Note, ...]:
        """The passages and rules it rests on, those of a proof's steps too."""
        return tuple(_notes_of(self.grounds))


def _notes_of(grounds: Iterable[Ground]) -> Iterator[Note]:
    for each in grounds:
        if isinstance(each, Proof):
            for step in each.steps:
                for statement in step.all():
                    yield from statement.notes
        else:
            yield each


def cell_text(cell: Cell) -> str:
    """Return a cell as text."""
    if cell is None:
        return ""
    return plain(cell) if isinstance(cell, tuple) else str(cell)


class Table(Struct, frozen=True, tag="table"):
    """A table of which every row says what it rests on.

    Attributes
    ----------
    columns, rows
        Its columns and rows.
    heading
        What stands above it; empty for none.
    narrow
        Names of the columns by whose values readers may narrow it, where that can be done.
    folded
        As of a `Group`.

    Raises
    ------
    ValueError
        If a row has not one cell for each column.
    """

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    heading: Sentence = ()
    narrow: tuple[str, ...] = ()
    folded: bool = False

    def __post_init__(self) -> None:
        """Refuse rows that do not fit."""
        for row in self.rows:
            if len(row.cells) != len(self.columns):
                raise ValueError(f"{len(self.columns)} columns, but {len(row.cells)} cells")

    def trimmed(self) -> "Table":
        """Return it without the columns in which every cell is empty."""
        return self.only(
            at
            for at in range(len(self.columns))
            if any(row.cells[at] not in (None, "") for row in self.rows)
        )

    @property
    def shown(self) -> "Table":
        """The table as people read it, without the columns that are for programs."""
        if not any(column.aside for column in self.columns):
            return self
        return self.only(at for at, column in enumerate(self.columns) if not column.aside)

    def only(self, places: Iterable[int]) -> "Table":
        """Return it with some of its columns, by their places."""
        kept = tuple(places)
        rows = (Row(tuple(r.cells[at] for at in kept), r.grounds, r.status) for r in self.rows)
        columns = tuple(self.columns[at] for at in kept)
        return Table(columns, tuple(rows), self.heading, self.narrow, self.folded)

    @property
    def notes(self) -> tuple[Note, ...]:
        """What its rows rest on, very many places of one source told as the first and the last.

        Where what claims say is told with them, each place is told.
        """
        found = gathered(note for row in self.rows for note in row.notes)
        places: dict[str, list[CitedPassage]] = {}
        for note in found.values():
            if isinstance(note, CitedPassage):
                places.setdefault(note.source.text, []).append(note)
        merged = {name: merge(some) for name, some in places.items() if _many(some)}
        notes: dict[tuple[str, ...], Note] = {}
        for note in found.values():
            if isinstance(note, CitedPassage):
                note = merged.get(note.source.text, note)
            notes.setdefault(note.key, note)
        return tuple(notes.values())


class Outline(Struct, frozen=True):
    """A part of a picture that something leads to, in pixels from the top left corner."""

    x: float
    y: float
    w: float
    h: float
    ref: Ref | None = None


class Picture(Struct, frozen=True, tag="picture"):
    """A picture, or a part of one.

    Attributes
    ----------
    file
        Its path relative to the top of the collection, or of the site.
    alternative
        What it shows, for those who cannot see it.
    width, height
        Of the whole file in pixels; 0 if not known.
    box
        Left, top, width and height of the part shown, in pixels; None for the whole.
    outlines
        Parts of it to outline.
    caption
        What it is and shows; None if that is said beside it.
    address
        Where the same stands in words; empty if nowhere.
    """

    file: str
    alternative: str
    width: int = 0
    height: int = 0
    box: tuple[float, float, float, float] | None = None
    outlines: tuple[Outline, ...] = ()
    caption: Statement | None = None
    address: str = ""


Part: TypeAlias = Group | Table | Picture


class Section(Struct, frozen=True):
    """A part of a report.

    Attributes
    ----------
    id
        A short name that no other section of the report has.
    heading
        Its heading.
    parts
        What it holds.
    lead
        How to read it; empty if that needs no words.
    folded
        As of a `Group`.
    refers
        Whether it tells of other things that refer to this one, of which there may be very many.
    """

    id: str
    heading: str
    parts: tuple[Part, ...]
    lead: str = ""
    folded: bool = False
    refers: bool = False


class Exhibit(Struct, frozen=True):
    """Something to put on the table: a piece, or a page.

    Attributes
    ----------
    statement
        What it is and shows.
    picture
        A picture of it, if there is one.
    """

    statement: Statement
    picture: Picture | None = None


class Report(Struct, frozen=True):
    """A report of a thing or a subject.

    Attributes
    ----------
    iri
        The thing; empty for a subject that is none.
    heading
        What it is called.
    kind
        What kind of thing it is, in a word or two; empty if that is said otherwise.
    lead
        What a person wants to know, in one or two sentences.
    sections
        The rest.
    exhibits
        What to show with it.
    cautions
        Cautions that belong with such a thing.
    collection, licence
        Title and licence of the collection.
    """

    iri: str
    heading: str
    lead: tuple[Statement, ...] = ()
    sections: tuple[Section, ...] = ()
    exhibits: tuple[Exhibit, ...] = ()
    cautions: tuple[Statement, ...] = ()
    kind: str = ""
    collection: str = ""
    licence: str = ""

    @property
    def id(self) -> str:
        """The last part of its IRI, for citing; empty for a subject."""
        return self.iri.rsplit("/", 1)[-1]

    @property
    def statements(self) -> tuple[Statement, ...]:
        """Every statement, in the order in which they are read."""
        return tuple(each for each in self._spoken() if isinstance(each, Statement))

    @property
    def notes(self) -> tuple[Note, ...]:
        """Every note once, in the order in which it is first called, with all its claims."""
        return tuple(gathered(note for each in self._spoken() for note in each.notes).values())

    @property
    def claims(self) -> tuple[CitedClaim, ...]:
        """Every claim it rests on, each once, in the order in which they are first called."""
        passages = (note for note in self.notes if isinstance(note, CitedPassage))
        return tuple({c.iri: c for each in passages for c in each.claims}.values())

    def _spoken(self) -> Iterator[Statement | Table]:
        """Yield every statement and every table, in the order in which they are read."""
        for one in self.lead:
            yield from one.all()
        for section in self.sections:
            for part in section.parts:
                yield from _spoken_in(part)
        for exhibit in self.exhibits:
            yield from exhibit.statement.all()
        for one in self.cautions:
            yield from one.all()


def _spoken_in(part: Part) -> Iterator[Statement | Table]:
    if isinstance(part, Group):
        for each in part.statements:
            yield from each.all()
    elif isinstance(part, Table):
        if part.shown.columns:
            yield part
    elif part.caption is not None:
        yield from part.caption.all()


def together(
    reports: Sequence[Report], heading: str, iri: str = "", lead: tuple[Statement, ...] = ()
) -> Report:
    """Put reports of several things together: the sections of each, named by what it is of.

    Parameters
    ----------
    reports
        The reports.
    heading, iri, lead
        What all of them are of, and what is said of it first.

    Returns
    -------
    Report
        The id of each section is that in its own report, a full stop and the number of that
        report.
    """
    sections: list[Section] = []
    cautions: dict[str, Statement] = {}
    for number, each in enumerate(reports, 1):
        own = [Section("about", each.heading, (Group(each.lead),))] if each.lead else []
        for at, one in enumerate((*own, *each.sections)):
            name = each.heading
            if at >= len(own) and one.heading:
                name = f"{name}: {one.heading}"
            sections.append(
                Section(f"{one.id}.{number}", name, one.parts, one.lead, one.folded, one.refers)
            )
        cautions.update({str(one): one for one in each.cautions})
    return Report(iri, heading, lead, tuple(sections), cautions=tuple(cautions.values()))


MANY_PLACES = 3
"""More places than this in one source are told as the first and the last."""


def _many(passages: Sequence[CitedPassage]) -> bool:
    quoted = any(claim.says for each in passages for claim in each.claims)
    return len(passages) > MANY_PLACES and not quoted


def merge(passages: Iterable[CitedPassage]) -> CitedPassage:
    """Draw passages of one source together, told by the first place and the last, as recorded."""
    some = list(passages)
    claims = sorted(
        {claim.iri: claim for each in some for claim in each.claims}.values(),
        key=lambda claim: _row(claim.read_from),
    )
    at = {claim.iri: each.place for each in some for claim in each.claims}
    places = [place for place in (at[claim.iri] for claim in claims) if place]
    told = f"{places[0]} to {places[-1]}" if len(set(places)) > 1 else "".join(places[:1])
    return CitedPassage(some[0].source, told, tuple(claims))


def _row(read_from: str) -> tuple[str, int]:
    file, _, row = read_from.partition(" row ")
    return file, int(row) if row.isdecimal() else 0


def gathered(notes: Iterable[Note]) -> dict[tuple[str, ...], Note]:
    """Draw like notes together: each once by its key, a passage with the claims of all."""
    found: dict[tuple[str, ...], Note] = {}
    more: dict[tuple[str, ...], dict[str, CitedClaim]] = {}
    for note in notes:
        key = note.key
        first = found.setdefault(key, note)
        if first is not note and isinstance(note, CitedPassage) and isinstance(first, CitedPassage):
            claims = more.get(key)
            if claims is None:
                if first.claims == note.claims:
                    continue
                claims = more[key] = {claim.iri: claim for claim in first.claims}
            claims.update({claim.iri: claim for claim in note.claims})
    for key, claims in more.items():
        note = found[key]
        if isinstance(note, CitedPassage) and len(claims) != len(note.claims):
            found[key] = CitedPassage(note.source, note.place, tuple(claims.values()))
    return found
