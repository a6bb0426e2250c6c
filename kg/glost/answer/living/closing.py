"""What follows, kept up to date: the closure of what is believed and of the concept schemes."""

from rdflib.namespace import SKOS

from glost.reason.closure import Closure
from glost.reason.rules import Triple
from glost.record.belief import Belief
from glost.record.patching import Shift
from glost.trade.assortments.forms import Forms

_OF_FORMS = (SKOS.inScheme, SKOS.broader)
"""The properties of a collection's own terms that decide how the published forms are classed."""


class Closing:
    """What follows from what is believed.

    Parameters
    ----------
    closure
        The closure of what is believed; it is changed from then on.
    forms
        The ware forms, as the collection classes them.

    Attributes
    ----------
    given, taken
        The facts that the last change gave the closure, and took from it.
    """

    def __init__(self, closure: Closure, forms: Forms) -> None:
        self.closure = closure
        self.forms = forms
        self._schemes = frozenset(forms.facts())
        self.given: tuple[Triple, ...] = ()
        self.taken: tuple[Triple, ...] = ()

    def falling(self, shift: Shift) -> tuple[Triple, ...]:
        """Return what may no longer follow once a change is made; nothing is changed yet."""
        return self.closure.falls(t for t in shift.unstated if t not in self._schemes)

    def change(self, shift: Shift, belief: Belief) -> tuple[list[Triple], list[Triple]]:
        """Make a change.

        Parameters
        ----------
        shift
            What it does to what is believed.
        belief
            What is believed after it.

        Returns
        -------
        tuple
            What follows now and did not, and what followed and does not; a statement that is made
            by a claim does not count as one that follows.
        """
        before = self._schemes
        if any(verb in _OF_FORMS for _, verb, _ in (*shift.stated, *shift.unstated)):
            self.forms = Forms(belief)
            self._schemes = frozenset(self.forms.facts())
        stated, unstated = set(shift.stated), set(shift.unstated)
        added = (stated - before) | (self._schemes - before)
        gone = (unstated - self._schemes) | {
            each for each in before - self._schemes if not belief.rests_on(each)
        }
        self.given = tuple(t for t in added if not self._given(t, before, stated, belief))
        self.taken = tuple(gone)
        return self.closure.revise(self.given, self.taken)

    @staticmethod
    def _given(
        triple: Triple, schemes: frozenset[Triple], stated: set[Triple], belief: Belief
    ) -> bool:
        """Say whether a statement was a fact before."""
        return triple in schemes or (triple not in stated and bool(belief.rests_on(triple)))
