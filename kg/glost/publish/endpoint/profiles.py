"""Negotiation by profile (W3C, *Content Negotiation by Profile*, 2023), by header or by address.

A client names the profiles that it reads in ``Accept-Profile``, or in the address as ``_profile``,
by IRI in angle brackets or by token, and the media type as ``_mediatype``; ``_profile=all`` lists
what there is. A page has no profile. What is asked for and not there is refused (406), for what
conforms to none of the profiles that a client lists it is not to be sent.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import parse_qs, quote

import pyoxigraph as ox

from glost.publish.data.media import OFFERED
from glost.publish.data.profiles import IN_CRM, IN_SCHEMA, OWN, PROFILES, Profile
from glost.publish.endpoint.negotiate import choose
from glost.publish.site.paths import PAGE

CRM_FILE = "data/crm.ttl"
"""The whole collection in CIDOC CRM, within a site."""

_LISTED = re.compile(r'\s*<([^<>"\s]+)>\s*(?:;\s*q\s*=\s*(0(?:\.\d{0,3})?|1(?:\.0{0,3})?)\s*)?')
_NAMED = re.compile(r"\s*(?:<([^<>]+)>|([\w.-]+))\s*")
_MOST = 100
_FORMATS = {"text/turtle": ox.RdfFormat.TURTLE, "application/n-triples": ox.RdfFormat.N_TRIPLES}
_SCRIPT = re.compile(r'<script type="application/ld\+json">(.*?)</script>', re.DOTALL)


@dataclass(frozen=True, slots=True)
class Representation:
    """A form in which a thing is told.

    Attributes
    ----------
    profile
        What it conforms to; None for the page.
    media
        Its media type.
    address
        Where it is, seen from the thing's identifier.
    file
        The file within the site that holds it, or from which it is made.
    """

    profile: Profile | None
    media: str
    address: str
    file: str


@dataclass(frozen=True, slots=True)
class Wish:
    """What a client asks for.

    Attributes
    ----------
    profiles
        IRIs or tokens of profiles with weights; empty if any will do.
    media
        What it accepts, as in ``Accept``.
    all
        Whether it asks what there is.
    by_address
        Whether the address says so; a header may then not.
    """

    profiles: tuple[tuple[str, float], ...] = ()
    media: str | None = None
    all: bool = False
    by_address: bool = False

    @classmethod
    def of(cls, query: str, accept: str | None, accept_profile: str | None) -> "Wish":
        """Read what a request asks for; its address goes before its headers."""
        given = parse_qs(query)
        named, media = ",".join(given.get("_profile", ())), ",".join(given.get("_mediatype", ()))
        if not named:
            return cls(_header(accept_profile or ""), media or accept, by_address=bool(media))
        if named.strip() == "all":
            return cls((), media or accept, all=True, by_address=True)
        names = [found[1] or found[2] for p in named.split(",") if (found := _NAMED.fullmatch(p))]
        weighed = tuple((name, 1 - n / 1000) for n, name in enumerate(names[:_MOST]))
        return cls(weighed or ((named, 1.0),), media or accept, by_address=True)

    def chosen(self, forms: Sequence[Representation]) -> Representation | None:
        """Choose the form that is wanted most; None if none is.

        A profile goes before a media type (section 7.1): the most wanted profile of which there
        is an accepted media type.
        """
        if not self.profiles:
            return _by_media(self.media, [f for f in forms if f.profile in (None, OWN)]) or (
                _by_media(self.media, forms) if self.by_address else None
            )
        for name, weight in sorted(self.profiles, key=lambda each: -each[1]):
            known = [f for f in forms if f.profile and name in (f.profile.iri, f.profile.token)]
            found = _by_media(self.media, known) if weight > 0 else None
            if found is not None:
                return found
        return None


def _header(text: str) -> tuple[tuple[str, float], ...]:
    """Read ``Accept-Profile``; what is not well formed is passed over."""
    parts = text.split(",")[:_MOST]
    read = [found.groups() for part in parts if (found := _LISTED.fullmatch(part))]
    return tuple((iri, float(weight or 1)) for iri, weight in read)


def _by_media(accept: str | None, forms: Sequence[Representation]) -> Representation | None:
    if not forms:
        return None
    media = choose(accept, [each.media for each in forms])
    return next((each for each in forms if each.media == media), None)


class Representations:
    """The forms in which the things of a site are told.

    Parameters
    ----------
    folder
        The site's folder.
    crm
        The store of the collection in CIDOC CRM; None if the site has none.
    """

    def __init__(self, folder: Path, crm: ox.Store | None) -> None:
        self._folder, self._crm = folder, crm

    def of(self, name: str, file: str, folder: str) -> Iterator[Representation]:
        """Yield the forms of a thing: the page, and then by profile.

        Parameters
        ----------
        name
            The last step of its identifier.
        file
            Its files within the site, without ending.
        folder
            The way from the folder of its identifier to that of its files.
        """
        for ending, media in OFFERED.items():
            address = quote(f"{folder}{file.rpartition('/')[2]}{ending}")
            yield Representation(None if ending == PAGE else OWN, media, address, file + ending)
        for profile in (IN_CRM, IN_SCHEMA):
            if profile == IN_CRM and self._crm is None:
                continue
            for media in profile.media:
                asked = f"?_profile={profile.token}&_mediatype={quote(media, safe='/')}"
                yield Representation(profile, media, f"{quote(name)}{asked}", file + PAGE)

    def content(self, form: Representation, iri: str) -> bytes:
        """Make what a form that has no file holds."""
        if form.profile == IN_SCHEMA:
            found = _SCRIPT.search((self._folder / form.file).read_text(encoding="utf-8"))
            return found[1].strip().encode() if found else b"{}"
        assert self._crm is not None
        made = sorted(set(_about(self._crm, iri)), key=str)
        return ox.serialize(made, format=_FORMATS[form.media]) or b""


def _about(store: ox.Store, iri: str) -> Iterator[ox.Triple]:
    """Yield the statements about a thing, and about what is named after it, such as its making."""
    waiting, seen = [ox.NamedNode(iri)], {iri}
    while waiting:
        node = waiting.pop()
        for quad in store.quads_for_pattern(node, None, None):
            yield quad.triple
            waiting += _parts(quad.object, iri, seen)
        for quad in store.quads_for_pattern(None, None, node):
            parts = _parts(quad.subject, iri, seen)
            waiting += parts
            if parts or getattr(quad.subject, "value", "").startswith(f"{iri}#"):
                yield quad.triple


def _parts(node: object, iri: str, seen: set[str]) -> list[ox.NamedNode]:
    if not isinstance(node, ox.NamedNode) or node.value in seen:
        return []
    if not node.value.startswith(f"{iri}#"):
        return []
    seen.add(node.value)
    return [node]


def links(forms: Sequence[Representation], shown: Representation | None) -> str:
    """Write the ``Link`` header that tells of each form, and which token stands for a profile.

    Parameters
    ----------
    forms
        All forms.
    shown
        The one that is sent or led to, if any.
    """
    told = []
    for each in forms:
        profile = f'; profile="{each.profile.iri}"' if each.profile else ""
        rel = "self" if each == shown else "alternate"
        told.append(f'<{each.address}>; rel="{rel}"; type="{each.media}"{profile}')
    for known in PROFILES:
        if any(each.profile == known for each in forms):
            told.append(
                f'<http://www.w3.org/ns/dx/prof/Profile>; rel="type"; token="{known.token}"; '
                f'anchor="{known.iri}"'
            )
    return ", ".join(told)


def listed(forms: Sequence[Representation], iri: str) -> dict[str, object]:
    """Tell the profiles of a thing as JSON (section 7.2.2)."""
    return {
        "resource": iri,
        "profiles": [
            {"token": p.token, "uri": p.iri, "media_types": media}
            for p in PROFILES
            if (media := [each.media for each in forms if each.profile == p])
        ],
    }
