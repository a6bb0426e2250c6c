"""What is reckoned of a thing, with the argument or working behind each figure."""

from collections.abc import Iterator

from rdflib import Graph, URIRef

from glost.answer.sheets.model import Group, Note, Statement
from glost.answer.sheets.notes import notes_of
from glost.record.belief import Belief
from glost.record.dates import Margin, to_iso
from glost.trade.assortments.compare import ComparedSide, Standing, compare
from glost.trade.assortments.holding import Holding
from glost.trade.assortments.lists import Article, Assortment, Lists, steps
from glost.trade.codes import piece_codes
from glost.trade.codes.schemes import schemes
from glost.trade.kilns.reckoned import Reckoned
from glost.trade.kilns.report import kiln_report
from glost.trade.times import Argument, ArgumentStep, Chronology, Conflict
from glost.words.codes import reading_in_words
from glost.words.labels import label
from glost.words.sentences import HAPPENED
from glost.words.spans import length
from glost.words.times import says

_LACKING = (
    "Compared by form and trade size; that an article was lost or gained is concluded only from a "
    "list stated to be complete without dispute"
)
_HELD = (
    "Held against lists and pieces: a list shows that an article was not there only if it is "
    "stated to be complete without dispute, a piece only that one was"
)
_ALWAYS = "This holds whatever is claimed"


def reckoned_groups(
    belief: Belief, graph: Graph, times: Chronology, thing: URIRef, kinds: tuple[str, ...]
) -> Iterator[Group]:
    """Yield what is reckoned: dates with their arguments, codes read, figures of a kiln."""
    if dates := tuple(_dates(times, graph, thing)):
        yield Group("Dates, from everything on record together", dates)
    if "Piece" in kinds and (codes := tuple(_codes(belief, graph, thing))):
        yield Group("Codes read", codes)
    if "Kiln" in kinds and (figures := tuple(_figures(belief, graph, thing))):
        yield Group("Figures of the kiln", figures)


def change_groups(lists: Lists, graph: Graph, shape: URIRef) -> Iterator[Group]:
    """Yield what a shape's articles gained and lost from one list to the next."""
    told = []
    for before, after in steps(lists.of(shape)):
        found = compare(ComparedSide(shape, (before,)), ComparedSide(shape, (after,)), lists)
        by = {
            standing: [c for c in found.changes if c.standing == standing] for standing in Standing
        }
        said = [f"{found.carried} {Standing.CARRIED}"]
        for standing, changes in by.items():
            if changes and standing != Standing.CARRIED:
                names = ", ".join(_article(change.article, graph) for change in changes)
                said.append(f"{standing}: {names}")
        text = f"From {_listed(before, graph)} to {_listed(after, graph)}: {'; '.join(said)}."
        claims = [claim for change in found.changes for claim in change.claims]
        told.append(Statement(text, [*notes_of(claims, graph), Note(_LACKING, "reckoned")]))
    if told:
        yield Group("Articles from one list to the next", tuple(told))


def stated_groups(holding: Holding, graph: Graph, thing: URIRef) -> Iterator[Group]:
    """Yield what is stated of a thing's lists, with whether it is borne out and by what."""
    told = []
    for held in holding.all:
        if thing in (held.stated.of, held.stated.iri):
            parts = [f"{held.says[:1].upper()}{held.says[1:]}. Borne out: {held.verdict}"]
            parts += [held.because] if held.because else []
            parts += [f"to be decided by {held.deciding}"] if held.deciding else []
            claims = [*held.stated.claims, *held.claims]
            how = Note(_HELD, "reckoned")
            text = f"{'; '.join(parts).rstrip('.')}."
            told.append(Statement(text, [*notes_of(claims, graph), how]))
    if told:
        yield Group("What sources state of its lists", tuple(told))


def _article(article: Article, graph: Graph) -> str:
    return f"{label(article.form, graph)} {article.which}".strip()


def _listed(each: Assortment, graph: Graph) -> str:
    return f"“{label(each.list, graph)}”{f' ({each.years})' if each.years else ''}"


def clash_groups(times: Chronology, graph: Graph, thing: URIRef) -> Iterator[Group]:
    """Yield dates that cannot all hold, each as two arguments that meet."""
    told = tuple(
        _clash(conflict, graph, times.margin)
        for conflict in times.conflicts
        if any(str(point).partition("#")[0] == str(thing) for point in conflict.points)
    )
    if told:
        yield Group("Dates that cannot all hold", told)


def _dates(times: Chronology, graph: Graph, thing: URIRef) -> Iterator[Statement]:
    for name, verb in HAPPENED.items():
        point = URIRef(f"{thing}#{name}")
        for argument in (times.why_not_before(point), times.why_not_after(point)):
            if argument is not None:
                dispute = ", if what clashes is settled at the least cost"
                text = f"{verb} {_limit(argument.late, argument.day)}"
                text += f"{dispute if times.bounds(point).disputed else ''}."
                yield argued(text, argument, graph, times.margin)


def _limit(late: bool, day: int) -> str:
    return f"not {'after' if late else 'before'} {to_iso(day)}"


def argued(text: str, argument: Argument, graph: Graph, margin: Margin) -> Statement:
    """Tell something with the steps of the argument for it."""
    parts = tuple(_step(step, argument.late, graph, margin) for step in argument.steps)
    notes = notes_of(argument.claims, graph)
    return Statement(text, notes or (Note(_ALWAYS, "reckoned"),), parts)


def _step(step: ArgumentStep, late: bool, graph: Graph, margin: Margin) -> Statement:
    said = "; ".join(says(ground, graph, margin) for ground in step.grounds)
    claims = [claim for ground in step.grounds for claim in ground.claims]
    reached = f"{label(step.reached, graph)} is {_limit(late, step.day)}"
    text = f"{said}; so the {reached}." if said else f"So the {reached}."
    rule = Note(f"Rule “{step.rule.name}”: {step.rule.why.rstrip('.')}", "reckoned")
    return Statement(text, [*notes_of(claims, graph), rule])


def _clash(conflict: Conflict, graph: Graph, margin: Margin) -> Statement:
    claims = [claim for ground in conflict.grounds for claim in ground.claims]
    text = (
        f"The {label(conflict.point, graph)} is bounded by two arguments that miss each other by "
        f"{length(conflict.days)}."
    )
    sides = []
    for argument in (conflict.not_before, conflict.not_after):
        since = f", counted from the {label(conflict.origin, graph)}" if conflict.origin else ""
        day = f"{argument.day} days" if conflict.origin else to_iso(argument.day)
        side = f"Not {'after' if argument.late else 'before'} {day}{since}."
        sides.append(argued(side, argument, graph, margin) if not conflict.origin else Statement(
            side, notes_of(argument.claims, graph) or (Note(_ALWAYS, "reckoned"),)
        ))  # fmt: skip
    return Statement(text, notes_of(claims, graph), sides)


def _codes(belief: Belief, graph: Graph, piece: URIRef) -> Iterator[Statement]:
    for found in piece_codes(belief, schemes(belief)):
        if found.piece != piece:
            continue
        for reading in found.decoded.counting:
            scheme = label(reading.scheme.iri, graph)
            text = f"Date code {found.decoded.text}, by {scheme}: "
            notes = notes_of([*found.claims, *reading.claims], graph)
            yield Statement(text + reading_in_words(reading, graph) + ".", notes)
        if not found.decoded.readings:
            text = f"Date code {found.decoded.text}: no scheme of its mark reads it."
            yield Statement(text, notes_of(found.claims, graph))


def _figures(belief: Belief, graph: Graph, kiln: URIRef) -> Iterator[Statement]:
    for line in kiln_report(belief, graph, kiln).reckoned:
        name = f"{line.of}: {line.reckoned.name}" if line.of else line.reckoned.name
        yield _figure(name, line.reckoned, graph)


def _figure(name: str, figure: Reckoned, graph: Graph) -> Statement:
    notes = [*notes_of(figure.claims, graph), Note(f"Reckoned as {figure.formula}", "reckoned")]
    inputs = "; ".join(dict.fromkeys(each.words() for each in figure.inputs))
    text = f"{name[:1].upper()}{name[1:]}: {figure.value()}, from {inputs}."
    return Statement(text, notes)
