"""What a piece looks like against one shape: its maker, form, size, parts and features."""

from collections.abc import Iterable, Iterator

from rdflib import URIRef

from glost.names import GLOST
from glost.record.claims import Triple
from glost.trade.naming.known import Known, ListOf
from glost.trade.naming.matching import compare
from glost.trade.naming.points import NamingPoint, point
from glost.trade.naming.seen import TEXTS, Seen
from glost.words.labels import label


def pottery(seen: Seen, shape: URIRef, known: Known) -> Iterator[NamingPoint]:
    if seen.pottery is None:
        return
    makers = known.belief.values(shape, GLOST.madeBy)
    claims = known.claims(*((shape, GLOST.madeBy, maker) for maker in makers))
    outcome = "made-it" if makers == [seen.pottery] else "makers-differ"
    if makers and seen.pottery not in makers:
        outcome = "another-made-it"
    says = f"Made by {known.names(makers)}." if makers else "No source says who made it."
    yield point("pottery", outcome, says, claims)


def form(seen: Seen, shape: URIRef, known: Known) -> Iterator[NamingPoint]:
    if seen.form is None:
        return
    name = label(seen.form, known.graph)
    forms = known.forms(shape)
    given = [t for form, found in forms.items() if seen.form in known.wider(form) for t in found]
    if given:
        yield point("form", "made", f"It is given a {name}.", known.claims(*given))
        return
    modelled = [
        (article, GLOST.produced, value)
        for article in known.articles[shape].get(seen.form, ())
        for value in known.belief.values(article, GLOST.produced)
    ]
    if modelled:
        says = f"A {name} was modelled for it and, it is said, never produced."
        yield point("form", "never-produced", says, known.claims(*modelled))
        return
    shared = list(_shared_form(seen.form, shape, known)) if known.is_flatware(seen.form) else []
    if shared:
        yield from shared
        return
    above = known.wider(seen.form) - {seen.form}
    wide = [t for form, found in forms.items() if form in above for t in found]
    if wide:
        says = f"It is given {known.names(t[2] for t in wide if t[1] == GLOST.form)}."
        yield point("form", "wider", says, known.claims(*wide))
        return
    yield _absent(name, shape, known)


def _shared_form(form: URIRef, shape: URIRef, known: Known) -> Iterator[NamingPoint]:
    for other, path in known.sharing(shape).items():
        given = [t for own, found in known.forms(other).items() if form in known.wider(own)
                 for t in found]  # fmt: skip
        if given:
            name = label(other, known.graph)
            says = f"It shares flatware with {name}, which is given a {label(form, known.graph)}."
            yield point("form", "shared", says, known.claims(*path, *given))
            return


def _absent(name: str, shape: URIRef, known: Known) -> NamingPoint:
    lists = known.lists.get(shape, ())
    complete = [each for each in lists if each.complete]
    claims = [claim for each in lists for claim in each.claims]
    if not complete:
        says = "It is in no list." if not lists else (
            f"No {name} is in {_lists(lists, known)}, not stated complete without dispute."
        )  # fmt: skip
        return point("form", "not-seen", says, claims)
    if len(complete) == len(lists):
        says = f"No {name} is in {_lists(lists, known)}, all stated to be complete."
        return point("form", "in-no-complete-list", says, claims)
    rest = [each for each in lists if not each.complete]
    says = (
        f"No {name} is in {_lists(complete, known)}, stated to be complete; "
        f"{_lists(rest, known)} leave{'s' if len(rest) == 1 else ''} room."
    )
    return point("form", "not-listed", says, claims)


def _lists(lists: Iterable[ListOf], known: Known) -> str:
    return ", ".join(f"“{label(each.source, known.graph)}”" for each in lists)


def size(seen: Seen, shape: URIRef, known: Known) -> Iterator[NamingPoint]:
    if not seen.size or seen.form is None:
        return
    sizes: dict[str, list[Triple]] = {}
    for form, articles in known.articles[shape].items():
        if seen.form in known.wider(form):
            for article in articles:
                for value in known.belief.values(article, GLOST.tradeSize):
                    sizes.setdefault(_bare_size(str(value)), []).append(
                        (article, GLOST.tradeSize, value)
                    )
    wanted = _bare_size(seen.size)
    if wanted in sizes:
        says = f"The form is given in trade size {seen.size}."
        yield point("size", "offered", says, known.claims(*sizes[wanted]))
    elif sizes:
        every = [t for found in sizes.values() for t in found]
        says = f"The form is given in trade sizes {', '.join(sorted(sizes))}."
        yield point("size", "other-sizes", says, known.claims(*every))
    else:
        yield point("size", "no-size", "No trade size is given for the form.")


def _bare_size(text: str) -> str:
    bare = text.casefold().strip().rstrip('."″ ')
    for unit in ("inches", "inch", "ins", "in"):
        bare = bare.removesuffix(unit).strip()
    return bare


def texts(seen: Seen, shape: URIRef, known: Known) -> Iterator[NamingPoint]:
    for name, property_ in TEXTS.items():
        text = getattr(seen, name)
        if not text:
            continue
        part = name.replace("_", " ")
        bare = " ".join(word for word in text.split() if word.casefold() != part) or text
        found = known.texts(shape, property_)
        if not found:
            yield point(name, "undescribed", f"No source describes its {part}.")
            continue
        outcomes = {described: compare(bare, described) for described, _ in found}
        outcome = min(outcomes.values(), key=["agrees", "partly", "differs"].index)
        chosen = [(d, claims) for d, claims in found if outcomes[d] == outcome]
        described = " or ".join(f"“{d}”" for d, _ in chosen)
        says = f"Its {part} is described as {described}."
        yield point(name, outcome, says, (c for _, claims in chosen for c in claims))


def features(seen: Seen, shape: URIRef, known: Known) -> Iterator[NamingPoint]:
    if not seen.features:
        return
    every = known.describing(shape)
    for feature in seen.features:
        found = [(text, claims) for text, claims in every if compare(feature, text) == "agrees"]
        found = [(text, claims) for text, claims in found if claims]
        if found:
            texts = ", ".join(sorted({f"“{text}”" for text, _ in found}))
            claims = dict.fromkeys(claim for _, some in found for claim in some)
            yield point("feature", "agrees", f"“{feature}”: recorded as {texts}.", claims)
        else:
            yield point("feature", "not-seen", f"“{feature}”: nobody records it of this shape.")
