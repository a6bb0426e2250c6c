"""What a fact sheet is made of: statements that cannot be had without what they rest on."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from glost.record.claims import Claim


class UngroundedError(ValueError):
    """Raised for a statement that rests on nothing."""


@dataclass(frozen=True, slots=True)
class Note:
    """What a statement rests on.

    Attributes
    ----------
    text
        A source with its locator, the rule by which something was reckoned, or a published rule.
    kind
        ``source`` for what a source says, ``reckoned`` for how something was reckoned or
        inferred, ``rule`` for a published rule or common practice.
    claims
        For a source, the claims that rest on the passage.
    """

    text: str
    kind: str = "source"
    claims: tuple[Claim, ...] = ()

    @property
    def key(self) -> tuple[str, str]:
        """What makes two notes one: kind and text."""
        return self.kind, self.text

    def __post_init__(self) -> None:
        """Refuse a note that names nothing."""
        if not self.text.strip():
            raise UngroundedError("a note must name a source, a rule or a reckoning")


class Statement:
    """Something a sheet says, bound to its notes.

    Its text cannot be had alone: `told` puts the marks of its notes behind it, and so does
    ``str()``.

    Parameters
    ----------
    text
        The statement, without its notes.
    notes
        What it rests on: at least one.
    parts
        Statements that belong under it: the steps of an argument, the sides of a dispute.

    Raises
    ------
    UnfoundedError
        If there is no text, or no note.
    """

    __slots__ = ("_notes", "_parts", "_text")

    def __init__(self, text: str, notes: Iterable[Note], parts: Iterable["Statement"] = ()) -> None:
        self._text = text.strip()
        self._notes = tuple(dict.fromkeys(notes))
        self._parts = tuple(parts)
        if not self._text:
            raise UngroundedError("a statement must say something")
        if not self._notes:
            raise UngroundedError(f"nothing is given that this rests on: {self._text}")

    @property
    def notes(self) -> tuple[Note, ...]:
        """What it rests on."""
        return self._notes

    @property
    def parts(self) -> tuple["Statement", ...]:
        """The statements under it."""
        return self._parts

    @property
    def claims(self) -> tuple[Claim, ...]:
        """The claims it rests on, each once."""
        return tuple(dict.fromkeys(claim for note in self._notes for claim in note.claims))

    def told(self, written: Callable[[str], str], mark: Callable[[Note], str]) -> str:
        """Return the statement followed by the mark of each note.

        Parameters
        ----------
        written
            Escapes the text for where it goes.
        mark
            Makes the mark of a note, such as a raised number.

        Raises
        ------
        UnfoundedError
            If any mark comes out empty.
        """
        marks = [mark(note) for note in self._notes]
        if not all(each.strip() for each in marks):
            raise UngroundedError(f"a note has no mark: {self._text}")
        return written(self._text) + "".join(marks)

    def __str__(self) -> str:
        """Return the statement with its notes in brackets."""
        return self.told(str, lambda note: f" [{note.text}]")

    def __repr__(self) -> str:
        """Return the statement with its notes."""
        return f"<Statement {self}>"


@dataclass(frozen=True, slots=True)
class Crop:
    """A part of a picture to show.

    Attributes
    ----------
    file
        Path of the picture relative to the collection's folder.
    box
        Left, top, width and height of the part in pixels; None for the whole.
    alternative
        What it shows, for those who cannot see it.
    """

    file: str
    box: tuple[float, float, float, float] | None
    alternative: str


@dataclass(frozen=True, slots=True)
class Exhibit:
    """Something to put on the table: a piece, or a page.

    Attributes
    ----------
    statement
        What it is and shows.
    crop
        A picture of it, if there is one.
    """

    statement: Statement
    crop: Crop | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """Statements of one sort under a heading of their own.

    Attributes
    ----------
    heading
        The heading; empty for none.
    statements
        The statements.
    short
        Whether each is a name or little more, so that they may run on in one paragraph.
    """

    heading: str
    statements: tuple[Statement, ...]
    short: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a sheet.

    Attributes
    ----------
    name
        ``known``, ``disputed``, ``withdrawn``, ``inferred`` or ``reckoned``.
    heading
        Its heading.
    groups
        What it holds.
    """

    name: str
    heading: str
    groups: tuple[Group, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A fact sheet.

    Attributes
    ----------
    iri, title
        The thing, and what it is called.
    kinds
        What it is.
    collection, licence
        Title and licence of the collection.
    sections
        Its parts; those with nothing to say are left out.
    exhibits
        What to show with it.
    more
        How many more pieces are on record; None if there are none.
    cautions
        Cautions that belong with such a thing.
    """

    iri: str
    title: str
    kinds: tuple[Statement, ...]
    collection: str
    licence: str
    sections: tuple[Section, ...]
    exhibits: tuple[Exhibit, ...] = ()
    more: Statement | None = None
    cautions: tuple[Group, ...] = ()

    @property
    def statements(self) -> tuple[Statement, ...]:
        """Every statement on the sheet, in the order in which it is printed."""
        groups = [group for section in self.sections for group in section.groups]
        top = [*self.kinds, *(statement for group in groups for statement in group.statements)]
        top += [exhibit.statement for exhibit in self.exhibits]
        top += [self.more] if self.more is not None else []
        top += [statement for group in self.cautions for statement in group.statements]
        return tuple(each for statement in top for each in _with_parts(statement))

    @property
    def notes(self) -> tuple[Note, ...]:
        """Every note once, in the order in which it is first called, with all its claims."""
        claims: dict[tuple[str, str], dict[Claim, None]] = {}
        for statement in self.statements:
            for note in statement.notes:
                claims.setdefault(note.key, {}).update(dict.fromkeys(note.claims))
        return tuple(Note(text, kind, tuple(c)) for (kind, text), c in claims.items())


def _with_parts(statement: Statement) -> Iterable[Statement]:
    yield statement
    for part in statement.parts:
        yield from _with_parts(part)
