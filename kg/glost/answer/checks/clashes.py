"""Contradictions under the rules of OWL 2 RL."""

from collections.abc import Iterator

from rdflib import Graph, URIRef

from glost.answer.checks import Check
from glost.findings import Finding, Severity
from glost.reason.closure import Clash, Closure
from glost.record.belief import Belief
from glost.record.claims import Claim, Triple
from glost.words.sentences import sentence, sides

_REMEDY = (
    "One of these claims is wrong, or was recorded of the wrong thing: look at the passages again, "
    "then withdraw it with glost correct."
)


def clash_findings(closure: Closure, belief: Belief, graph: Graph) -> Iterator[Finding]:
    """Tell every clash of the closure with all the claims it goes back to.

    Parameters
    ----------
    closure
        What follows from what is believed.
    belief
        What is believed.
    graph
        The same with the vocabulary, for wording.
    """
    for clash in closure.clashes:
        given: dict[Triple, None] = {}
        for fact in clash.facts:
            given.update(dict.fromkeys(closure.why(fact).facts))
        claims: list[Claim] = [claim for fact in given for claim in belief.rests_on(fact)]
        yield Finding(
            kind=clash.rule,
            severity=Severity.CONTRADICTION,
            about=_about(clash, belief),
            message=_message(clash, graph),
            sides=sides(claims, graph, given),
            remedy=_REMEDY,
        )


def _about(clash: Clash, belief: Belief) -> tuple[str, ...]:
    things = [str(fact[0]).partition("#")[0] for fact in clash.facts]
    own = [thing for thing in dict.fromkeys(things) if belief.about(thing)]
    return tuple(own or dict.fromkeys(things))


def _message(clash: Clash, graph: Graph) -> str:
    facts = "; ".join(sentence(fact, graph) for fact in clash.facts if isinstance(fact[1], URIRef))
    return f"{clash.message[:1].upper()}{clash.message[1:]}: {facts}."


CHECK = Check(
    lambda snapshot, belief: clash_findings(snapshot.closure, belief, belief.worded),
    disputes=True,
    beyond=True,
)
