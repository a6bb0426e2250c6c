"""Values of literals: whether two are the same, and whether one is of a datatype."""

from decimal import Decimal

from rdflib import Literal
from rdflib.namespace import XSD
from rdflib.term import Node

_BOUNDS: dict[Node, tuple[int | None, int | None]] = {
    XSD.integer: (None, None),
    XSD.nonNegativeInteger: (0, None),
    XSD.positiveInteger: (1, None),
    XSD.nonPositiveInteger: (None, 0),
    XSD.negativeInteger: (None, -1),
    XSD.long: (-(2**63), 2**63 - 1),
    XSD.int: (-(2**31), 2**31 - 1),
    XSD.short: (-(2**15), 2**15 - 1),
    XSD.byte: (-(2**7), 2**7 - 1),
    XSD.unsignedLong: (0, 2**64 - 1),
    XSD.unsignedInt: (0, 2**32 - 1),
    XSD.unsignedShort: (0, 2**16 - 1),
    XSD.unsignedByte: (0, 2**8 - 1),
}
"""The whole numbers of each datatype, both ends inclusive: XML Schema 1.1, part 2, section 3.4."""

_EXACT: frozenset[Node] = frozenset({*_BOUNDS, XSD.decimal})
_TEXT: frozenset[Node] = frozenset(
    {XSD.string, XSD.normalizedString, XSD.token, XSD.Name, XSD.NCName, XSD.NMTOKEN, XSD.language}
)
_OTHER: frozenset[Node] = frozenset(
    {XSD.float, XSD.double, XSD.boolean, XSD.date, XSD.gYear, XSD.dateTime, XSD.anyURI}
)
_JUDGED = _EXACT | _TEXT | _OTHER


def same_value(a: Node, b: Node) -> bool:
    """Tell whether two literals mean the same value, for instance ``7`` and ``007``.

    Parameters
    ----------
    a, b
        Literals; those that rdflib cannot read are compared as they are written.

    Returns
    -------
    bool
        Literals of datatypes that share no values are never the same.
    """
    if not isinstance(a, Literal) or not isinstance(b, Literal) or a == b:
        return a == b
    if a.ill_typed or b.ill_typed or a.value is None or b.value is None:
        return False
    comparable = a.datatype == b.datatype or {a.datatype, b.datatype} <= _EXACT
    return comparable and a.language == b.language and bool(a.value == b.value)


def in_value_space(literal: Literal, datatype: Node) -> bool:
    """Tell whether a literal's value is one of a datatype's.

    Parameters
    ----------
    literal
        The literal, of whatever datatype.
    datatype
        A datatype; only those of the OWL 2 RL list whose values rdflib reads are judged.

    Returns
    -------
    bool
        ``True`` as well where nothing is known about the datatype.
    """
    given: Node | None = literal.datatype or (None if literal.language else XSD.string)
    if given == datatype or datatype not in _JUDGED:
        return not (given == datatype and literal.ill_typed)
    if datatype in _EXACT:
        return given in _EXACT and not literal.ill_typed and _within(literal, datatype)
    if datatype in _TEXT:
        return given in _TEXT
    return given is not None and given not in _JUDGED


def _within(literal: Literal, datatype: Node) -> bool:
    value = Decimal(str(literal.value))
    if datatype == XSD.decimal:
        return True
    least, most = _BOUNDS[datatype]
    whole = value == value.to_integral_value()
    return whole and (least is None or value >= least) and (most is None or value <= most)
