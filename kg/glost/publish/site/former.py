"""Identifiers that were: those that are called otherwise now, and those that were withdrawn."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from rdflib import URIRef

from glost.publish.site.frame import PageFrame, filled
from glost.publish.site.holdings import SiteContents
from glost.record.errors import RecordError, RecordErrors
from glost.record.files import SETTINGS

GONE = "410.html"
"""The page that servers show for what was withdrawn, within a site."""


@dataclass(frozen=True, slots=True)
class Former:
    """Identifiers that were, under the base IRI.

    Attributes
    ----------
    renamed
        What each is called now: a server leads there (301).
    withdrawn
        What took the place of each, empty if nothing: a server says that it is gone (410).
    """

    renamed: Mapping[str, str] = field(default_factory=dict)
    withdrawn: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, holdings: SiteContents) -> "Former":
        """Take them from the collection's settings.

        Raises
        ------
        RecordErrors
            If one is there still, or what is in its place is not.
        """
        settings = holdings.snapshot.record.collection
        there = set(holdings.addresses.stems)
        errors = []
        for name, told in (("renamed", settings.renamed), ("withdrawn", settings.withdrawn)):
            for old, new in told.items():
                if holdings.base + old in there:
                    message = f"[{name}] {old} is in the collection still"
                    errors.append(RecordError(SETTINGS, message, "take the line out", found=old))
                if new and holdings.base + new not in there:
                    message = f"[{name}] {old} leads to {new}, which the collection does not have"
                    errors.append(
                        RecordError(SETTINGS, message, "name a thing there is", found=new)
                    )
        if errors:
            raise RecordErrors(errors)
        return cls(dict(sorted(settings.renamed.items())), dict(sorted(settings.withdrawn.items())))

    def marked(self) -> dict[str, dict[str, str]]:
        """Return what the site's marker says of them; nothing if there are none."""
        told = {"renamed": dict(self.renamed), "withdrawn": dict(self.withdrawn)}
        return {name: each for name, each in told.items() if each}

    def page(self, holdings: SiteContents, frame: PageFrame) -> Iterator[tuple[str, bytes]]:
        """Yield the page of what was withdrawn; it may stand at any address."""
        if self.withdrawn:
            way = "/" + holdings.base.partition("://")[2].partition("/")[2]
            rows = [
                (old, new, holdings.words.label(URIRef(holdings.base + new)) if new else "")
                for old, new in self.withdrawn.items()
            ]
            yield GONE, filled("gone.html", frame, way, title="Withdrawn", section="", rows=rows)
