"""What a piece looks like against one shape: its maker, form, size, parts and features."""

from collections.abc import Iterable, Iterator

from rdflib import URIRef

from glost.names import GLOST
from glost.record.claims import Claim, Triple
from glost.trade.naming.known import Known, ListOf, ShapeOnRecord
from glost.trade.naming.matching import compare
from glost.trade.naming.points import NamingPoint, point
from glost.trade.naming.seen import TEXTS
from glost.trade.naming.sight import Sight


def pottery(sight: Sight, shape: URIRef) -> Iterator[NamingPoint]:
    """Judge who is known otherwise to have made it."""
    known, wanted = sight.known, sight.seen.pottery
    if wanted is None:
        return
    makers = known.shape(shape).makers
    outcome = "made-it" if makers == (wanted,) else "makers-differ"
    if makers and wanted not in makers:
        outcome = "another-made-it"

    def telling() -> tuple[str, Iterable[Claim]]:
        says = f"Made by {known.names(makers)}." if makers else "No source says who made it."
        return says, known.claims(*((shape, GLOST.madeBy, maker) for maker in makers))

    yield point("pottery", outcome, telling)


def form(sight: Sight, shape: URIRef) -> Iterator[NamingPoint]:
    """Judge the ware form: what the shape is given, what was modelled, what lists lack."""
    known, wanted = sight.known, sight.seen.form
    if wanted is None:
        return
    record = known.shape(shape)
    own = _within(wanted, record, known)
    if own:

        def made() -> tuple[str, Iterable[Claim]]:
            given = (triple for form in own for triple in record.forms[form])
            return f"It is given a {known.name(wanted)}.", known.claims(*given)

        yield point("form", "made", made)
        return
    modelled = [
        (article, GLOST.produced, value)
        for article in record.articles.get(wanted, ())
        for value in known.belief.values(article, GLOST.produced)
    ]
    if modelled:

        def never() -> tuple[str, Iterable[Claim]]:
            name = known.name(wanted)
            says = f"A {name} was modelled for it and, it is said, never produced."
            return says, known.claims(*modelled)

        yield point("form", "never-produced", never)
        return
    shared = _shared_form(wanted, shape, known) if known.is_flatware(wanted) else None
    if shared is not None:
        yield shared
        return
    above = [form for form in record.forms if form != wanted and form in known.wider(wanted)]
    if above:

        def wider() -> tuple[str, Iterable[Claim]]:
            wide = [triple for form in above for triple in record.forms[form]]
            return f"It is given {known.names(above)}.", known.claims(*wide)

        yield point("form", "wider", wider)
        return
    yield _absent(wanted, shape, known)


def _within(wanted: URIRef, record: ShapeOnRecord, known: Known) -> list[URIRef]:
    """Return the forms a shape is given that are the one wanted or a kind of it."""
    return [form for form in record.forms if wanted in known.wider(form)]


def _shared_form(form: URIRef, shape: URIRef, known: Known) -> NamingPoint | None:
    partners = known.sharing(shape)
    other = next((o for o in partners if _within(form, known.shape(o), known)), None)
    if other is None:
        return None

    def shared() -> tuple[str, Iterable[Claim]]:
        record = known.shape(other)
        given = [t for own in _within(form, record, known) for t in record.forms[own]]
        says = f"It shares flatware with {known.name(other)}, which is given a {known.name(form)}."
        return says, known.claims(*partners[other], *given)

    return point("form", "shared", shared)


def _absent(form: URIRef, shape: URIRef, known: Known) -> NamingPoint:
    lists = known.lists(shape)
    complete = [each for each in lists if each.complete]
    outcome = "not-seen" if not complete else "not-listed"
    if complete and len(complete) == len(lists):
        outcome = "in-no-complete-list"

    def telling() -> tuple[str, Iterable[Claim]]:
        return _lacking(known.name(form), lists, known), (c for each in lists for c in each.claims)

    return point("form", outcome, telling)


def _lacking(name: str, lists: tuple[ListOf, ...], known: Known) -> str:
    """Say which lists have no such form, and which of them are stated to be complete."""
    complete = [each for each in lists if each.complete]
    rest = [each for each in lists if not each.complete]
    if not lists:
        return "It is in no list."
    if not complete:
        return f"No {name} is in {_lists(lists, known)}, not stated complete without dispute."
    if not rest:
        return f"No {name} is in {_lists(lists, known)}, all stated to be complete."
    return (
        f"No {name} is in {_lists(complete, known)}, stated to be complete; "
        f"{_lists(rest, known)} leave{'s' if len(rest) == 1 else ''} room."
    )


def _lists(lists: Iterable[ListOf], known: Known) -> str:
    return ", ".join(f"“{known.name(each.source)}”" for each in lists)


def size(sight: Sight, shape: URIRef) -> Iterator[NamingPoint]:
    """Judge the trade size by those in which the form is given."""
    known, seen = sight.known, sight.seen
    if not seen.size or seen.form is None:
        return
    sizes: dict[str, list[Triple]] = {}
    for form, articles in known.shape(shape).articles.items():
        if seen.form in known.wider(form):
            for article in articles:
                for value in known.belief.values(article, GLOST.tradeSize):
                    sizes.setdefault(_bare_size(str(value)), []).append(
                        (article, GLOST.tradeSize, value)
                    )
    wanted = _bare_size(seen.size)
    if wanted in sizes:
        yield point(
            "size",
            "offered",
            lambda: (
                f"The form is given in trade size {seen.size}.",
                known.claims(*sizes[wanted]),
            ),
        )
    elif sizes:
        yield point(
            "size",
            "other-sizes",
            lambda: (
                f"The form is given in trade sizes {', '.join(sorted(sizes))}.",
                known.claims(*(t for found in sizes.values() for t in found)),
            ),
        )
    else:
        yield point("size", "no-size", lambda: ("No trade size is given for the form.", ()))


def _bare_size(text: str) -> str:
    bare = text.casefold().strip().rstrip('."″ ')
    for unit in ("inches", "inch", "ins", "in"):
        bare = bare.removesuffix(unit).strip()
    return bare


def texts(sight: Sight, shape: URIRef) -> Iterator[NamingPoint]:
    """Judge each part by what sources say it looks like."""
    for name, property_ in TEXTS.items():
        text = getattr(sight.seen, name)
        if text:
            yield _text(name, property_, text, shape, sight.known)


def _text(name: str, property_: URIRef, text: str, shape: URIRef, known: Known) -> NamingPoint:
    part = name.replace("_", " ")
    bare = " ".join(word for word in text.split() if word.casefold() != part) or text
    values = known.shape(shape).texts[property_]
    if not values:
        return point(name, "undescribed", lambda: (f"No source describes its {part}.", ()))
    outcomes = {str(value): compare(bare, str(value)) for value in values}
    outcome = min(outcomes.values(), key=["agrees", "partly", "differs"].index)

    def telling() -> tuple[str, Iterable[Claim]]:
        every = known.texts(shape, property_)
        chosen = [(text, claims) for text, claims in every if outcomes[text] == outcome]
        described = " or ".join(f"“{text}”" for text, _ in chosen)
        says = f"Its {part} is described as {described}."
        return says, (claim for _, claims in chosen for claim in claims)

    return point(name, outcome, telling)


def features(sight: Sight, shape: URIRef) -> Iterator[NamingPoint]:
    """Judge each feature by every text about the shape and its pieces."""
    described = sight.known.shape(shape).described if sight.seen.features else ()
    for feature in sight.seen.features:
        found = [
            (text, statements)
            for text, statements in described
            if sight.agrees(feature, text) and sight.known.stands(*statements)
        ]
        yield _feature(feature, found, sight.known)


def _feature(
    feature: str, found: list[tuple[str, tuple[Triple, ...]]], known: Known
) -> NamingPoint:
    if not found:
        says = f"“{feature}”: nobody records it of this shape."
        return point("feature", "not-seen", lambda: (says, ()))

    def telling() -> tuple[str, Iterable[Claim]]:
        texts = ", ".join(sorted({f"“{text}”" for text, _ in found}))
        claims = dict.fromkeys(claim for _, some in found for claim in known.claims(*some))
        return f"“{feature}”: recorded as {texts}.", claims

    return point("feature", "agrees", telling)
