"""What is seen on a piece, before anyone says what it is."""

from dataclasses import dataclass, fields

from rdflib import URIRef

from glost.names import GLOST
from glost.record.belief import Belief

TEXTS = {
    "rim": GLOST.rim,
    "handle": GLOST.handle,
    "finial": GLOST.finial,
    "foot": GLOST.foot,
    "lid_fit": GLOST.lidFit,
}
"""What is described in words, and the property that describes it of a shape."""


@dataclass(frozen=True, slots=True)
class Seen:
    """What is seen on a piece. Everything may be left out.

    Attributes
    ----------
    pottery
        Who made it, if that is known otherwise.
    form
        Its ware form, a concept of the scheme.
    size
        The trade size it goes by, not a measured size.
    rim, handle, finial, foot, lid_fit
        What these look like, in the words a cataloguer would use.
    features
        Anything else, in a word or two each.
    marks
        Marks known by id.
    mark_read
        A mark as it can be read, ``?`` for a worn letter and ``...`` for a worn stretch.
    number
        The treatment number as it can be read, ``?`` for a worn figure.
    glaze
        A coloured glaze known by id.
    date_code
        The date code as it can be read, ``?`` for a worn letter.
    plant
        The plant that a code or mark names.
    country
        The country wording as it stands.
    treatment
        The treatment, if it is known; its number as read is then not looked up.
    shape
        Its shape, if it is known; naming leaves it out of account, dating does not.
    redesigns, older_forms
        Redesigns of articles whose newer form it has, and those whose older form it still has.
        Naming leaves them out of account as well.
    """

    pottery: URIRef | None = None
    form: URIRef | None = None
    size: str = ""
    rim: str = ""
    handle: str = ""
    finial: str = ""
    foot: str = ""
    lid_fit: str = ""
    features: tuple[str, ...] = ()
    marks: tuple[URIRef, ...] = ()
    mark_read: str = ""
    number: str = ""
    glaze: URIRef | None = None
    date_code: str = ""
    plant: URIRef | None = None
    country: str = ""
    treatment: URIRef | None = None
    shape: URIRef | None = None
    redesigns: tuple[URIRef, ...] = ()
    older_forms: tuple[URIRef, ...] = ()

    @property
    def nothing(self) -> bool:
        """Whether nothing at all is said."""
        return not any(getattr(self, each.name) for each in fields(self))


def seen_on(belief: Belief, piece: URIRef) -> Seen:
    """Gather what is recorded as seen on a piece, its shape left out.

    A property that claims give several values is left out where only one can be right.
    """

    def one(property_: URIRef) -> URIRef | None:
        found = belief.named(piece, property_)
        return found[0] if len(found) == 1 else None

    def text(property_: URIRef) -> str:
        found = belief.texts(piece, property_)
        return found[0] if len(found) == 1 else ""

    return Seen(
        pottery=one(GLOST.madeBy),
        form=one(GLOST.form),
        size=text(GLOST.tradeSize),
        features=belief.texts(piece, GLOST.feature),
        marks=belief.named(piece, GLOST.bearsMark),
        redesigns=belief.named(piece, GLOST.showsRedesign),
        older_forms=belief.named(piece, GLOST.showsOlderForm),
        mark_read=text(GLOST.markRead),
        number=text(GLOST.numberRead),
        treatment=one(GLOST.bearsTreatment),
        glaze=one(GLOST.bearsGlaze),
        date_code=text(GLOST.dateCodeRead),
    )
