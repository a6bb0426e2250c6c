"""Pages of what disagrees: a list by severity, and each finding with its sides."""

from collections.abc import Iterator

from rdflib import URIRef

from glost.findings import Severity
from glost.publish.site.entities import ROOT, Entities
from glost.publish.site.frame import fill
from glost.publish.site.paths import more

_LISTED = 200


def finding_pages(entities: Entities) -> Iterator[tuple[str, bytes]]:
    """Make the list of findings and the page of each."""
    held = entities.holdings
    told = [
        {"severity": str(f.severity), "message": f.message, "href": f"findings/{name}.html"}
        for f, name in zip(held.findings, held.finding_names, strict=True)
    ]
    counts = [(str(s), sum(1 for t in told if t["severity"] == str(s))) for s in Severity]
    parts = [told[at : at + _LISTED] for at in range(0, len(told), _LISTED)] or [[]]
    files = [more("findings/index.html", number) for number in range(1, len(parts) + 1)]
    for number, (file, part) in enumerate(zip(files, parts, strict=True), 1):
        yield fill(
            "findings.html", file, entities.frame, title="Findings", section="Findings",
            findings=part, counts=counts, count=len(told), pages=files, number=number,
        )  # fmt: skip
    done = set()
    for finding, name in zip(held.findings, held.finding_names, strict=True):
        if name in done:
            continue
        done.add(name)
        sides = [
            {"side": side, "href": entities.links.href(URIRef(side.claim), ROOT)}
            for side in finding.sides[:100]
        ]
        about = [entities.links.a(URIRef(iri), ROOT) for iri in finding.about]
        yield fill(
            "finding.html", f"findings/{name}.html", entities.frame, title=finding.message,
            section="Findings", finding=finding, sides=sides, about=about,
            left=max(0, len(finding.sides) - 100),
        )  # fmt: skip
