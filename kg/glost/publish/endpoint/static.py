"""The published site as the endpoint serves it: its files, and its identifiers by negotiation."""

import json
import os
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import sha256
from http import HTTPStatus
from mimetypes import guess_type
from pathlib import Path
from posixpath import relpath
from typing import Any
from urllib.parse import quote

import pyoxigraph as ox
from rdflib import Graph
from rdflib.namespace import RDF, VOID
from starlette.exceptions import HTTPException
from starlette.responses import FileResponse, JSONResponse, RedirectResponse, Response
from starlette.staticfiles import StaticFiles
from starlette.types import Receive, Scope, Send

from glost.publish.data.descriptions import SD
from glost.publish.data.grounds import GROUNDS
from glost.publish.data.media import MEDIA
from glost.publish.data.profiles import IN_CRM, OWN
from glost.publish.endpoint.grounds import following
from glost.publish.endpoint.messages import Titled
from glost.publish.endpoint.problems import Problem
from glost.publish.endpoint.profiles import (
    CRM_FILE,
    Representation,
    Representations,
    Wish,
    links,
    listed,
)
from glost.publish.site.former import GONE
from glost.publish.site.paths import DATA, MANIFEST, MARKER, PAGE, stem

DUMP = "data/dataset.nq"
"""The whole dataset as N-Quads, within a site."""


_VARY = "Accept, Accept-Profile"
_QSA = "http://www.w3.org/ns/dx/conneg/profile/qsa"
"""The functional profile of the query strings that are understood."""

_WITHIN = (SD.defaultGraph, SD.namedGraph, SD.graph)


class NoSite(Exception):  # noqa: N818 - said to a user as it stands
    """A folder holds no published site; the message says which and what to do."""


@dataclass(frozen=True)
class Published:
    """A published site.

    Attributes
    ----------
    folder
        Where it lies.
    """

    folder: Path
    _marker: dict[str, Any] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Read the site's marker."""
        try:
            told = json.loads((self.folder / MARKER).read_text(encoding="utf-8"))
            object.__setattr__(self, "_marker", {**told, "base": str(told["base"])})
        except (OSError, ValueError, KeyError) as error:
            raise NoSite(
                f"{self.folder} holds no published site ({MARKER} is missing or cannot be read); "
                f"make one with: glost publish {self.folder}"
            ) from error

    @property
    def named(self) -> Titled:
        """The collection, as its pages name it."""
        return Titled(self.title, self.base)

    @property
    def base(self) -> str:
        """Base IRI of the collection."""
        base: str = self._marker["base"]
        return base

    @property
    def title(self) -> str:
        """Title of the collection."""
        return str(self._marker.get("title", self.base))

    def load(self, folder: Path) -> None:
        """Load the site's dataset into a new store in a folder, for other processes to read.

        What the site says its inferred and reckoned statements rest on goes into a store beside
        it; see `glost.publish.endpoint.grounds.following`.

        Raises
        ------
        NoSite
            If the site holds no dataset.
        """
        dump = self.folder / DUMP
        if not dump.is_file():
            raise NoSite(f"{self.folder} lacks {DUMP}; publish the collection again")
        _load(dump, folder)
        if (self.folder / GROUNDS).is_file():
            _load(self.folder / GROUNDS, following(folder))
        if (self.folder / CRM_FILE).is_file():
            _load(self.folder / CRM_FILE, in_crm(folder), ox.RdfFormat.TURTLE)

    @cached_property
    def version(self) -> str:
        """A hash of everything in the site."""
        return sha256((self.folder / MANIFEST).read_bytes()).hexdigest()[:32]

    @cached_property
    def _exceptions(self) -> dict[str, str]:
        return dict(self._marker.get("exceptions", {}))

    @cached_property
    def graphs(self) -> Graph:
        """What the site's description says of the graphs of its dataset: names and sizes."""
        found, told = Graph(), Graph().parse(self.folder / "data" / "void.ttl", format="turtle")
        waiting = list(told.subjects(RDF.type, SD.Dataset))
        while waiting:
            node = waiting.pop()
            for property_, value in told.predicate_objects(node):
                if str(property_).startswith(SD) or str(value).startswith(SD):
                    found.add((node, property_, value))
                    waiting += [value] if property_ in _WITHIN else []
            if (node, RDF.type, SD.Graph) in found:
                for count in told.objects(node, VOID.triples):
                    found.add((node, VOID.triples, count))
        return found

    def former(self, path: str) -> Response | None:
        """Return the answer for an identifier that was: where it is now, or that it is gone."""
        now = self._marker.get("renamed", {}).get(path)
        if now is not None:
            address = quote(relpath(now, path.rpartition("/")[0] or "."))
            return Response(status_code=HTTPStatus.MOVED_PERMANENTLY, headers={"location": address})
        if path in self._marker.get("withdrawn", {}):
            content = (self.folder / GONE).read_bytes()
            return Response(content, HTTPStatus.GONE, media_type="text/html")
        return None

    def files(self, path: str) -> str | None:
        """Return the files of the identifier with a path under the base, without ending."""
        iri = self.base + path
        name = self._exceptions.get(iri) or self._exceptions.get(self.base + quote(path))
        name = name or stem(self.base, iri)
        return name if name and (self.folder / (name + PAGE)).is_file() else None


class Site(StaticFiles):
    """Serves a published site.

    ``{kind}/{slug}``, an identifier, leads with status 303 to its page or its data, as the client
    prefers; everything else is the file of that name. A folder is its ``index.html``.
    """

    def __init__(self, published: Published, crm: ox.Store | None = None) -> None:
        super().__init__(directory=published.folder, html=True)
        self._published = published
        self._forms = Representations(published.folder, crm)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request; only reading is understood."""
        path = scope["path"].lstrip("/")
        if "\0" in path:
            raise HTTPException(HTTPStatus.NOT_FOUND)
        former = self._published.former(path)
        if former is not None and scope["method"] in ("GET", "HEAD"):
            await former(scope, receive, send)
            return
        name = self._published.files(path) if path else None
        if name is None or scope["method"] not in ("GET", "HEAD"):
            await super().__call__(scope, receive, send)
        else:
            await self._negotiated(path, name, scope)(scope, receive, send)

    def _negotiated(self, path: str, name: str, scope: Scope) -> Response:
        """Lead to the form that is asked for, or send it if no file holds it."""
        folder, _, last = path.rpartition("/")
        way = relpath(name, folder or ".").removesuffix(name.rpartition("/")[2])
        forms, iri = list(self._forms.of(last, name, way)), self._published.base + quote(path)
        accept, named = (_header(scope, each) for each in (b"accept", b"accept-profile"))
        wish = Wish.of(scope["query_string"].decode("latin-1"), accept, named)
        if wish.all:
            headers = {"vary": _VARY, "link": links(forms, None), "content-profile": f"<{_QSA}>"}
            return JSONResponse(listed(forms, iri), headers=headers)
        shown = wish.chosen(forms)
        if shown is None:
            there = ", ".join(
                f"{each.media} by <{each.profile.iri}>" if each.profile else each.media
                for each in forms
            )
            raise Problem(
                HTTPStatus.NOT_ACCEPTABLE,
                "this is described in none of the formats or profiles asked for",
                f"there are {there}",
                {"vary": _VARY, "link": links(forms, None)},
            )
        if shown.profile in (None, OWN) or not wish.by_address:
            return _elsewhere(shown.address, shown, forms)
        headers = {"vary": _VARY, "link": links(forms, shown)}
        headers["content-profile"] = f"<{shown.profile.iri}>" if shown.profile else ""
        content = self._forms.content(shown, iri)
        return Response(content, headers=headers, media_type=shown.media)

    async def get_response(self, path: str, scope: Scope) -> Response:
        """Return a file; a folder's address without its closing slash leads to the one with it."""
        response = await super().get_response(path, scope)
        if isinstance(response, RedirectResponse):
            last = scope["path"].rpartition("/")[2]
            response.headers["location"] = f"./{quote(last)}/"
        return response

    def file_response(
        self,
        full_path: str | os.PathLike[str],
        stat_result: os.stat_result,
        scope: Scope,
        status_code: int = 200,
    ) -> Response:
        """Return a file with its media type."""
        response = super().file_response(full_path, stat_result, scope, status_code)
        if isinstance(response, FileResponse):
            suffix = Path(full_path).suffix
            media = MEDIA.get(suffix) or guess_type(str(full_path))[0]
            response.headers["content-type"] = media or "application/octet-stream"
            profile = self._profile(Path(full_path))
            if profile:
                response.headers["content-profile"] = f"<{profile}>"
        return response

    def _profile(self, path: Path) -> str:
        """Return what a file conforms to: the data beside a page, and the whole in CIDOC CRM."""
        if path == self._published.folder / CRM_FILE:
            return IN_CRM.iri
        if path.suffix in DATA and path.with_suffix(PAGE).is_file():
            return OWN.iri
        return ""


def in_crm(folder: Path) -> Path:
    """Return where the store of the collection in CIDOC CRM lies, beside that of the dataset."""
    return folder.with_name(f"{folder.name}-crm")


def _load(dump: Path, folder: Path, form: ox.RdfFormat = ox.RdfFormat.N_QUADS) -> None:
    store = ox.Store(str(folder))
    store.bulk_load(path=str(dump), format=form, lenient=True)
    store.flush()
    store.optimize()


def _elsewhere(address: str, shown: Representation, forms: Sequence[Representation]) -> Response:
    headers = {"location": address, "vary": _VARY, "link": links(forms, shown)}
    if shown.profile is not None:
        headers["content-profile"] = f"<{shown.profile.iri}>"
    return Response(status_code=HTTPStatus.SEE_OTHER, headers=headers)


def _header(scope: Scope, name: bytes) -> str | None:
    values = [value for key, value in scope["headers"] if key == name]
    return b", ".join(values).decode("latin-1") if values else None
