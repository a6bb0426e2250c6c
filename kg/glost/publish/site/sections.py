"""Sections of a page that may grow long, cut so that no page does."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from markupsafe import Markup

from glost.publish.site.paths import more

ROOM = 30_000
"""Characters that the sections of one page may take together, head and foot left out."""


@dataclass(slots=True)
class PageGroup:
    """A run of like blocks in a section.

    Attributes
    ----------
    blocks
        Its blocks, each complete by itself.
    title
        A heading; empty if it needs none.
    tag, css
        The element that holds the blocks, and its class.
    count
        How many blocks there are on all pages; 0 to say nothing of it.
    rest, rest_page, rest_href
        How many are not on this page, and where the first of these is.
    """

    blocks: list[Markup]
    title: Markup | str = ""
    tag: str = "ul"
    css: str = ""
    count: int = 0
    rest: int = 0
    rest_page: int = 0
    rest_href: str = ""

    @property
    def text(self) -> Markup:
        """Its blocks, one after another."""
        return Markup("".join(self.blocks))


@dataclass(slots=True)
class PageSection:
    """A section of a page.

    Attributes
    ----------
    id
        Its fragment.
    title, lead
        Heading and first paragraph.
    groups
        What it holds.
    count
        A number beside the heading; 0 for none.
    """

    id: str
    title: str
    groups: list[PageGroup] = field(default_factory=list)
    lead: Markup | str = ""
    count: int = 0


def paged(sections: Iterable[PageSection], page: str) -> list[tuple[str, list[PageSection]]]:
    """Spread sections over as many pages as they need.

    Parameters
    ----------
    sections
        All sections, in order; empty ones are left out.
    page
        The file of the first page.

    Returns
    -------
    list
        Files of the pages, each with its sections. The first page holds the beginning of every
        section and says where the rest is.
    """
    whole = [s for s in sections if any(g.blocks for g in s.groups)]
    groups = [g for s in whole for g in s.groups if g.blocks]
    shares = _shares([sum(map(len, g.blocks)) for g in groups])
    first: list[PageSection] = []
    left: list[tuple[PageSection, PageGroup, list[Markup]]] = []
    at = 0
    for section in whole:
        shown = PageSection(section.id, section.title, [], section.lead, section.count)
        for group in (g for g in section.groups if g.blocks):
            cut = _fit(group.blocks, shares[at])
            at += 1
            kept = PageGroup(group.blocks[:cut], group.title, group.tag, group.css, group.count)
            shown.groups.append(kept)
            if cut < len(group.blocks):
                left.append((section, kept, group.blocks[cut:]))
        first.append(shown)
    return [(page, first), *_further(left, page)]


def _shares(sizes: list[int]) -> list[int]:
    """Share the room out: who needs little gets it all, the others the rest in equal parts."""
    shares = list(sizes)
    left, needing = ROOM, sorted(range(len(sizes)), key=lambda at: sizes[at])
    while needing:
        equal = left // len(needing)
        at = needing.pop(0)
        shares[at] = min(sizes[at], equal)
        left -= shares[at]
    return shares


def _fit(blocks: list[Markup], room: int) -> int:
    """Return how many blocks fit, but at least one."""
    used = 0
    for at, block in enumerate(blocks):
        used += len(block)
        if at and used > room:
            return at
    return len(blocks)


def _further(
    left: list[tuple[PageSection, PageGroup, list[Markup]]], page: str
) -> list[tuple[str, list[PageSection]]]:
    pages: list[tuple[str, list[PageSection]]] = []
    used = ROOM
    for section, shown, blocks in left:
        rest = blocks
        shown.rest = len(rest)
        while rest:
            if used >= ROOM * 0.9:
                pages.append((more(page, len(pages) + 2), []))
                used = 0
            file, held = pages[-1]
            if not shown.rest_page:
                shown.rest_page, shown.rest_href = len(pages) + 1, file
            cut = _fit(rest, ROOM - used)
            group = PageGroup(rest[:cut], shown.title, shown.tag, shown.css, shown.count)
            if not held or held[-1].id != section.id:
                held.append(PageSection(section.id, section.title, [], "", section.count))
            held[-1].groups.append(group)
            used += sum(map(len, group.blocks))
            rest = rest[cut:]
            if rest:
                used = ROOM
    return pages
