"""A report as HTML: what stands between the head and the foot of a page.

The page around it, its style sheet and where links lead are the caller's; everything that comes
from the report is escaped.
"""

from collections.abc import Callable, Iterable
from functools import lru_cache
from itertools import groupby
from typing import Literal, NamedTuple, TypeAlias

from markupsafe import Markup, escape

from glost.report.numbering import Numbers, rows_of, runs
from glost.report.tree import (
    Cell,
    CitedClaim,
    CitedPassage,
    Column,
    Exhibit,
    Group,
    Note,
    Picture,
    Proof,
    Ref,
    Report,
    Row,
    Rule,
    Section,
    Sentence,
    Statement,
    Table,
    gathered,
    plain,
)
from glost.words.english import count
from glost.words.sentences import unboxed

Link: TypeAlias = Callable[[str], str | None]
"""Returns the address of a thing's page as a page links to it; None if it has none."""

Drawn: TypeAlias = Callable[[Picture], str]
"""Returns a picture as HTML, already escaped; empty if it cannot be shown."""

Rests: TypeAlias = Literal["notes", "claims", "places", "nothing"]
"""Where rows of tables lead: to numbered notes, to their claims by id, or by source and place.

Nothing is for answers of which every row rests on the same, which is said elsewhere.
"""

_HOW = "How we know"
_CLAIMS_SHOWN = 12
"""More claims than this under a row of a table are told as how many more there are."""
_MARK = "\0"
"""Stands for the mark of a note until the numbers of all of a statement are written together."""
_TOLD_SINGLY = 8
"""More claims than this in one passage are told together."""
_OUTSIDE = ("http://", "https://")


def no_link(iri: str) -> None:
    """Link to nothing."""


def no_picture(picture: Picture) -> str:
    """Show no picture."""
    return ""


class ColumnHeading(NamedTuple):
    """The heading of a column as HTML, and attributes of its cell, both already escaped."""

    told: str
    attributes: str = ""


def heading(column: Column) -> ColumnHeading:
    """Write the heading of a column."""
    return ColumnHeading(str(escape(column.title)))


def undisputed(claim: CitedClaim) -> bool:
    """Take no claim for disputed."""
    return False


class Html:
    """Writes the parts of a report as HTML.

    Parameters
    ----------
    report
        The report.
    link
        Where things lead.
    drawn
        How pictures are shown.
    called
        Whether notes lead back to where they are first called.
    rests
        Where rows of tables lead: to notes; or, where claims have pages, to these.
    heads
        Writes the headings of columns.
    disputed
        Says whether a claim is disputed, where it is told by its source and place.
    """

    def __init__(
        self,
        report: Report,
        link: Link = no_link,
        drawn: Drawn = no_picture,
        called: bool = True,
        rests: Rests = "notes",
        heads: Callable[[Column], ColumnHeading] = heading,
        disputed: Callable[[CitedClaim], bool] = undisputed,
    ) -> None:
        self._report, self._link, self._drawn = report, link, drawn
        self._heads, self._disputed = heads, disputed
        self._calling, self._claims_lead = called, rests != "notes"
        self._where, self._answers = rests, rests in ("places", "nothing")
        self._called: dict[int, int] = {}
        self._links: dict[tuple[str, str], str] = {}
        self._numbers = Numbers(self._noted())
        notes = self._numbers.notes
        # Where all rests on one rule, that is said once, at the end.
        self._marked = len(notes) != 1 or isinstance(notes[0], CitedPassage)

    def _noted(self) -> Iterable[Note]:
        """Return the notes that are listed: rows of tables may lead to their claims instead."""
        if not self._claims_lead:
            return self._report.notes
        report, notes = self._report, list[Note]()
        for statement in report.statements:
            notes += statement.notes
        parts = [part for section in report.sections for part in section.parts]
        for part in parts:
            if isinstance(part, Table) and not self._answers:
                notes += (note for note in part.notes if not isinstance(note, CitedPassage))
        return gathered(notes).values()

    # -- the whole ---------------------------------------------------------------------------------

    def body(self) -> Markup:
        """Return heading, lead, sections, exhibits, cautions and notes."""
        return Markup("").join((self.head(), self.main(), self.end()))

    def head(self) -> Markup:
        """Return what stands first: what it is called and what a person wants to know."""
        report = self._report
        under = [escape(report.kind)] if report.kind else []
        if report.iri:
            under.append(Markup(f'<code class="iri">{escape(report.id)}</code>'))
        kind = f'<p class="kind">{" · ".join(under)}</p>\n' if under else ""
        return Markup(f"{kind}<h1>{escape(report.heading)}</h1>\n{self.lead()}")

    def lead(self) -> Markup:
        """Return the first sentences."""
        lead = self._report.lead
        if not lead:
            return Markup("")
        told = " ".join(f"<span>{self._told(each)}</span>" for each in lead)
        proofs = "".join(self._below(each) for each in lead)
        return Markup(f'<p class="lead">{told}</p>\n{proofs}')

    def main(self) -> Markup:
        """Return the sections and exhibits."""
        sections = "".join(map(self._section, self._report.sections))
        return Markup(sections + self._exhibits())

    def parts(self, section: Section) -> Markup:
        """Return what a section holds, without its heading."""
        return Markup("".join(map(self._part, section.parts)))

    def end(self) -> Markup:
        """Return the cautions and the notes."""
        return Markup(self._cautions() + self._notes())

    # -- parts -----------------------------------------------------------------------------------

    def _section(self, section: Section) -> str:
        if not section.heading:
            return f'<section id="{escape(section.id)}">{self.parts(section)}</section>\n'
        heading = f'<h2 id="{escape(section.id)}">{escape(section.heading)}</h2>'
        lead = f'<p class="about">{escape(section.lead)}</p>\n' if section.lead else ""
        parts = "".join(map(self._part, section.parts))
        top = f'<section class="{escape(section.id)}" aria-labelledby="{escape(section.id)}">\n'
        if section.folded:
            inner = f'<details class="folded"><summary>{heading}</summary>\n{lead}{parts}</details>'
            return f"{top}{inner}</section>\n"
        return f"{top}{heading}\n{lead}{parts}</section>\n"

    def _part(self, part: Group | Table | Picture) -> str:
        if isinstance(part, Picture):
            return self._figure(part)
        if isinstance(part, Table):
            part = part.shown
            if not part.columns:
                return ""
        heading = self._words(part.heading)
        marks = ""
        if isinstance(part, Table):
            made = self._table(part)
            marks = "" if self._claims_lead or not heading else self._marks(part.notes)
        else:
            made = self._group(part)
        if part.folded:
            count = len(part.rows) if isinstance(part, Table) else len(part.statements)
            name = f"{heading or 'All'} <small>{count}</small>"
            under = f"<p>Rests on{marks}</p>\n" if marks else ""  # no link stands in a summary
            return f'<details class="folded"><summary>{name}</summary>\n{under}{made}</details>\n'
        return (f"<h3>{heading}{marks}</h3>\n" if heading else "") + made

    def _group(self, group: Group) -> str:
        if group.sides:
            return self._list(group.statements, "sides")
        runs = groupby(group.statements, key=lambda each: bool(each.named(plain)))
        return "".join(
            self._facts(some) if named else self._list(some, "run" if group.short else "told")
            for named, some in runs
        )

    def _facts(self, statements: Iterable[Statement]) -> str:
        """Return statements that tell something as a list of it, those of one name together."""
        made = []
        for name, some in groupby(statements, key=lambda each: each.named(self._words)):
            values = "".join(f"<dd>{self._item(each)}</dd>" for each in some)
            made.append(f"<div><dt>{name}</dt>{values}</div>\n")
        return f'<dl class="facts">\n{"".join(made)}</dl>\n'

    def _list(self, statements: Iterable[Statement], css: str) -> str:
        items = "".join(f"<li>{self._item(each)}</li>\n" for each in statements)
        return f'<ul class="{css}">\n{items}</ul>\n'

    def _item(self, statement: Statement) -> str:
        return self._told(statement) + self._below(statement)

    def _below(self, statement: Statement) -> str:
        proofs = "".join(map(self._proof, statement.proofs))
        if not statement.parts:
            return proofs
        parts = "".join(f"<li>{self._item(each)}</li>\n" for each in statement.parts)
        return f'<ul class="parts">\n{parts}</ul>\n{proofs}'

    def _proof(self, proof: Proof) -> str:
        steps = "".join(f"<li>{self._item(step)}</li>\n" for step in proof.steps)
        return (
            f'<details class="reason"><summary>{_HOW}</summary>\n'
            f'<ol class="steps">\n{steps}</ol></details>\n'
        )

    # -- statements --------------------------------------------------------------------------------

    def _told(self, statement: Statement) -> str:
        notes = statement.notes
        told = statement.told(self._words, lambda note: _MARK)
        told = told.removesuffix(_MARK * len(notes)) + self._marks(notes)
        return f"{told} {status(statement.status)}" if statement.status else told

    def _words(self, sentence: Sentence) -> str:
        return "".join(
            _escaped(each) if isinstance(each, str) else self._a(each.iri, each.text)
            for each in sentence
        )

    def _a(self, iri: str, text: str) -> str:
        found = self._links.get((iri, text))
        if found is None:
            href = self._link(iri)
            out = ' rel="external noopener"' if href and href.startswith(_OUTSIDE) else ""
            name = escape(text)
            found = f'<a href="{escape(href)}"{out}>{name}</a>' if href else str(name)
            self._links[iri, text] = found
        return found

    def _marks(self, notes: Iterable[Note]) -> str:
        """Return the numbers of notes, three or more that follow one another as a run."""
        numbers = sorted({self._numbers(note) for note in notes}) if self._marked else []
        made = []
        for first, last in runs(numbers):
            fresh = [n for n in range(first, last + 1) if n not in self._called]
            at = f' id="c{fresh[0]}"' if self._calling and fresh else ""
            self._called.update(dict.fromkeys(fresh, fresh[0] if fresh else 0))
            told = str(first) if first == last else f"{first}–{last}"
            made.append(f'<a{at} href="#n{first}" role="doc-noteref">{told}</a>')
        return f"<sup>{' '.join(made)}</sup>" if made else ""

    # -- tables ----------------------------------------------------------------------------------

    def _table(self, table: Table) -> str:
        if len(table.columns) == 1 and not self._answers:
            return self._names(table)
        name = str(escape(plain(table.heading) or "Table"))
        kinds = [' class="n"' if column.type == "number" else "" for column in table.columns]
        written = [self._heads(column) for column in table.columns]
        heads = "".join(
            f'<th scope="col"{kind} data-type="{escape(column.type)}"'
            f"{' data-narrow' if column.name in table.narrow else ''}"
            f"{head.attributes}>{head.told}</th>"
            for column, kind, head in zip(table.columns, kinds, written, strict=True)
        )
        # Without a heading to carry them, the marks of notes stand in the rows.
        noted = self._claims_lead or not table.heading
        # Where all rests on one rule, that is said once, at the end of the page.
        cited = self._marked or any(isinstance(n, CitedPassage) for n in table.notes)
        noted = self._where == "places" or (noted and cited and self._where != "nothing")
        rests = '<th scope="col">Rests on</th>' if noted else ""
        rows = "".join(self._row(row, kinds, noted) for row in table.rows)
        return (
            f'<div class="scroll" tabindex="0" role="region" aria-label="{name}">'
            f'<table class="list"><thead><tr>{heads}{rests}</tr></thead>\n'
            f"<tbody>\n{rows}</tbody></table></div>\n"
        )

    def _names(self, table: Table) -> str:
        """Return a table of names alone as a run of them."""
        items = []
        for row in table.rows:
            told = self._cell(row.cells[0]) + (f" {status(row.status)}" if row.status else "")
            items.append(f"<li>{told}{self._at(row) if self._claims_lead else ''}</li>")
        marks = "" if self._claims_lead or table.heading else self._marks(table.notes)
        return f'<ul class="run">{"".join(items)}</ul>{marks}\n'

    def _at(self, row: Row) -> str:
        """Lead to the first claim of a row, in as little room as can be."""
        claims = [c for note in row.notes if isinstance(note, CitedPassage) for c in note.claims]
        href = self._link(claims[0].iri) if claims else None
        if href is None:
            return ""
        return f'<a class="at" href="{escape(href)}" aria-label="claim {claims[0].id[:6]}">°</a>'

    def _row(self, row: Row, kinds: list[str], noted: bool) -> str:
        cells = [self._cell(cell) for cell in row.cells]
        at = next((at for at, cell in enumerate(cells) if cell), 0)
        if row.status:
            cells[at] += f" {status(row.status)}"
        told = "".join(f"<td{kind}>{cell}</td>" for kind, cell in zip(kinds, cells, strict=True))
        rests = f"<td>{self._resting(row)}</td>" if noted else ""
        return f"<tr>{told}{rests}</tr>\n"

    def _cell(self, cell: Cell) -> str:
        if cell is None:
            return ""
        if isinstance(cell, Ref):
            told = self._a(cell.iri, cell.text)
            return f'<span lang="{escape(cell.language)}">{told}</span>' if cell.language else told
        return self._words(cell) if isinstance(cell, tuple) else str(escape(cell))

    def _resting(self, row: Row) -> str:
        if self._where == "places":
            return self._under(row)
        return self._rests(row) if self._claims_lead else self._marks(row.notes)

    def _rests(self, row: Row) -> str:
        """Lead to the claims of a row, and to the rules by which it was calculated."""
        notes = gathered(row.notes).values()
        marks = self._marks(note for note in notes if not isinstance(note, CitedPassage))
        claims = [
            self._a(claim.iri, claim.id[:6])
            for note in notes
            if isinstance(note, CitedPassage)
            for claim in note.claims
        ]
        if len(claims) == 1:
            return claims[0] + marks
        if not claims:
            return marks
        shown = " ".join(claims[:_CLAIMS_SHOWN])
        more = len(claims) - _CLAIMS_SHOWN
        rest = f" and {more} more" if more > 0 else ""
        summary = f"<summary>{len(claims)} claims</summary>"
        return f"<details>{summary}{shown}{rest}</details>{marks}"

    def _under(self, row: Row) -> str:
        """Tell the claims of a row by source and place, to be unfolded, or the rule it rests on."""
        notes = gathered(row.notes).values()
        rules = [str(escape(note.text.rstrip("."))) for note in notes if isinstance(note, Rule)]
        claims = [
            self._placed_claim(note, claim)
            for note in notes
            if isinstance(note, CitedPassage)
            for claim in note.claims
        ]
        if not claims:
            return "; ".join(rules)
        more = len(claims) - _CLAIMS_SHOWN
        rest = f"<li>and {more} more</li>" if more > 0 else ""
        shown = "".join([*claims[:_CLAIMS_SHOWN], *(f"<li>{rule}</li>" for rule in rules)])
        summary = f"<summary>{count(len(claims), 'claim')}</summary>"
        return f'<details>{summary}<ul class="grounds">{shown}{rest}</ul></details>'

    def _placed_claim(self, passage: CitedPassage, claim: CitedClaim) -> str:
        place = unboxed(claim.place)
        where = ", ".join(filter(None, (passage.source.text, place)))
        told = [self._a(claim.iri, where)]
        if claim.certainty:
            sure = escape(claim.certainty)
            told.append(f'<span class="sure {sure}">{sure}</span>')
        if claim.withdrawn:
            told.append(status("withdrawn"))
        elif self._disputed(claim):
            told.append(status("disputed"))
        if claim.read_from:
            told.append(f"<small>{escape(claim.read_from)}</small>")
        return f"<li>{' '.join(told)}</li>"

    # -- pictures, cautions and notes --------------------------------------------------------------

    def _figure(self, picture: Picture) -> str:
        drawn = self._drawn(picture)
        caption = self._item(picture.caption) if picture.caption is not None else ""
        if not drawn and not caption:
            return ""
        told = f"<figcaption>{caption}</figcaption>" if caption else ""
        return f"<figure>{drawn}{told}</figure>\n"

    def _exhibits(self) -> str:
        if not self._report.exhibits:
            return ""
        shown = "".join(map(self._exhibit, self._report.exhibits))
        return (
            '<section class="exhibits" aria-labelledby="exhibits">\n'
            f'<h2 id="exhibits">Exhibits</h2>\n{shown}</section>\n'
        )

    def _exhibit(self, exhibit: Exhibit) -> str:
        drawn = self._drawn(exhibit.picture) if exhibit.picture is not None else ""
        return f"<figure>{drawn}<figcaption>{self._item(exhibit.statement)}</figcaption></figure>\n"

    def _cautions(self) -> str:
        if not self._report.cautions:
            return ""
        told = " ".join(map(self._told, self._report.cautions))
        below = "".join(map(self._below, self._report.cautions))
        return (
            '<section class="cautions" aria-labelledby="cautions">\n'
            f'<h2 id="cautions">Cautions</h2>\n<p>{told}</p>\n{below}</section>\n'
        )

    def _notes(self) -> str:
        if not self._numbers.notes:
            return ""
        notes = "".join(self._note(at, each) for at, each in enumerate(self._numbers.notes, 1))
        return (
            '<section class="notes" role="doc-endnotes" aria-labelledby="notes">\n'
            f'<h2 id="notes">What this rests on</h2>\n<ol>\n{notes}</ol></section>\n'
        )

    def _note(self, number: int, note: Note) -> str:
        back = ""
        if self._calling and number in self._called:
            first = self._called[number]
            back = f' <a href="#c{first}" role="doc-backlink" aria-label="back to {first}">↩</a>'
        if isinstance(note, CitedPassage):
            place = f", {escape(note.place)}" if note.place else ""
            claims = self._claims(note)
            many = count(len(note.claims), "claim")
            told = (
                f"{self._a(note.source.iri, note.source.text)}{place}{back} "
                f"<details><summary>{many}</summary>{claims}</details>"
            )
        else:
            source = f", {escape(note.source)}" if note.source else ""
            text = str(escape(note.text.rstrip(".")))
            if note.address:
                text = f'<a href="{escape(note.address)}" rel="external noopener">{text}</a>'
            told = f"{text}{source}.{back}"
        return f'<li id="n{number}">{told}</li>\n'

    def _claims(self, passage: CitedPassage) -> str:
        """Tell the claims of a passage; of very many where each is, and their rows together."""
        if len(passage.claims) <= _TOLD_SINGLY:
            told = "".join(self._claim(each, passage.place) for each in passage.claims)
            return f"<ul>{told}</ul>"
        some = (
            f"{self._a(claim.iri, claim.id)} {escape(claim.place)}".rstrip()
            + (f" {status('withdrawn')} {escape(claim.withdrawn)}" if claim.withdrawn else "")
            for claim in passage.claims
        )
        return f"<p>{escape(rows_of(passage))}: {'; '.join(some)}</p>"

    def _claim(self, claim: CitedClaim, place: str) -> str:
        where = "" if claim.place == place else claim.place
        told = filter(None, (claim.certainty, where, claim.read_from, claim.recorded))
        name = f"<code>{self._a(claim.iri, claim.id)}</code>"
        gone = f" {status('withdrawn')} {escape(claim.withdrawn)}" if claim.withdrawn else ""
        note = f" <q>{escape(claim.note)}</q>" if claim.note else ""
        says = f" {escape(claim.says)}" if claim.says else ""
        return f"<li>{name}{gone}{says} {', '.join(map(escape, told))}{note}</li>"


@lru_cache(maxsize=1 << 14)
def _escaped(text: str) -> str:
    """Escape a text; the same ones come again and again."""
    return str(escape(text))


def html(
    report: Report,
    link: Link = no_link,
    drawn: Drawn = no_picture,
    called: bool = True,
    rests: Rests = "notes",
) -> Markup:
    """Write a report as HTML; see `Html`."""
    return Html(report, link, drawn, called, rests).body()


def status(word: str) -> str:
    """Show how something stands, in a word."""
    name = escape(word)
    return f'<span class="st {escape(word.replace(" ", "-"))}">{name}</span>'
