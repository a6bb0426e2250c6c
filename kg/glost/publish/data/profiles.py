"""The profiles that things of a site are described by: our own, CIDOC CRM and schema.org.

W3C, *Content Negotiation by Profile* (2023): a profile has an IRI, and a token that may stand for
it in a query.
"""

from dataclasses import dataclass

from glost.names import CRM, SCHEMES
from glost.publish.site.paths import DATA


@dataclass(frozen=True, slots=True)
class Profile:
    """How a thing can be described.

    Attributes
    ----------
    token
        What stands for it in an address.
    iri
        Its name.
    media
        The media types that it is to be had in, the usual one first.
    """

    token: str
    iri: str
    media: tuple[str, ...]


OWN = Profile("glost", f"{SCHEMES}profile", tuple(DATA.values()))
"""What every conforming dataset has; the files beside each page."""

IN_CRM = Profile("crm", str(CRM), ("text/turtle", "application/n-triples"))
"""The statements of ``data/crm.ttl`` about a thing."""

IN_SCHEMA = Profile("schema", "https://schema.org/", ("application/ld+json",))
"""What search engines read in a thing's page."""

PROFILES = (OWN, IN_CRM, IN_SCHEMA)
