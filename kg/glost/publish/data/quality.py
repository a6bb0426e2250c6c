"""How much was found wrong, for machines: the Data Quality Vocabulary (W3C Note, 2016)."""

from collections import Counter

from rdflib import Graph, Literal, Namespace, URIRef
from rdflib.namespace import RDF, SKOS, XSD

from glost.findings import Severity
from glost.names import SCHEMES
from glost.publish.site.holdings import SiteContents

DQV = Namespace("http://www.w3.org/ns/dqv#")
_CONSISTENCY = URIRef("http://www.w3.org/2016/05/ldqd#consistency")
_METRICS = f"{SCHEMES}quality#"


def add_quality(graph: Graph, dataset: URIRef, holdings: SiteContents) -> None:
    """Add a measurement of each severity, and of each check that found something.

    Parameters
    ----------
    graph
        What is added to.
    dataset
        What is measured.
    holdings
        What the site is made of, its findings among it.
    """
    graph.bind("dqv", DQV)
    counts = Counter(str(finding.severity) for finding in holdings.findings)
    for severity in map(str, Severity):
        words = f"How many findings of the severity {severity} there are."
        _measured(graph, dataset, f"severity-{severity}", words, counts[severity])
    checks = Counter(finding.kind for finding in holdings.findings)
    for check, count in sorted(checks.items()):
        words = f"How many findings of the check {check} there are."
        _measured(graph, dataset, f"check-{check}", words, count)


def _measured(graph: Graph, dataset: URIRef, name: str, words: str, count: int) -> None:
    metric, made = URIRef(_METRICS + name), URIRef(f"{dataset}#quality-{name}")
    graph.add((metric, RDF.type, DQV.Metric))
    graph.add((metric, SKOS.definition, Literal(words, lang="en")))
    graph.add((metric, DQV.expectedDataType, XSD.integer))
    graph.add((metric, DQV.inDimension, _CONSISTENCY))
    graph.add((dataset, DQV.hasQualityMeasurement, made))
    graph.add((made, RDF.type, DQV.QualityMeasurement))
    graph.add((made, DQV.isMeasurementOf, metric))
    graph.add((made, DQV.computedOn, dataset))
    graph.add((made, DQV.value, Literal(count)))
