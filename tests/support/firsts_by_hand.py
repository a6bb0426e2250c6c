"""Who was first, last and alone, worked out again from rows of tables in plain Python.

Nothing of the program is used. When shapes were brought in, and when lists came out, is given, as
days between which it lies.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product

Cells = Mapping[str, str]
Days = tuple[int | None, int | None]
ORDERED = ("first", "last", "only")


def slug(form: str) -> str:
    """Write a form as its id."""
    return form.strip().lower().replace(" ", "-")


def ahead(one: Days, other: Days) -> bool:
    """Say whether one certainly lies before the other."""
    return one[1] is not None and other[0] is not None and one[1] < other[0]


@dataclass
class Tables:
    """Rows of the tables that bear on it, and days."""

    makers: Mapping[str, str]
    offers: Sequence[Cells]
    complete: Mapping[str, set[str]]
    pieces: Sequence[Cells]
    articles: Sequence[Cells]
    absences: Sequence[Cells]
    superlatives: Sequence[Cells]
    begins: Mapping[str, Days]
    issued: Mapping[str, Days]
    known: dict[tuple[str, str], str] = field(default_factory=dict)

    def before(self, one: str, other: str) -> bool:
        """Say whether a shape was certainly brought in before another."""
        return ahead(self.begins[one], self.begins[other])

    def fellows(self, shape: str) -> set[str]:
        """Return the other shapes of a shape's pottery."""
        return {s for s, p in self.makers.items() if p == self.makers[shape]} - {shape}

    def speaking(self, shape: str, form: str) -> bool:
        """Say whether anything says that a shape had a form."""
        return (
            any(r["shape"] == shape and slug(r["form"]) == form for r in self.offers)
            or any(r["shape"] == shape and slug(r["form"]) == form for r in self.pieces)
            or any(
                r["shape"] == shape and slug(r["form"]) == form and r["produced"] == "yes"
                for r in self.articles
            )
            or any(
                r["of"] == f"shape/{shape}"
                and slug(r["form"]) == form
                and r["superlative"] in ORDERED
                for r in self.superlatives
            )
        )

    def denied(self, shape: str, form: str) -> bool:
        """Say whether a statement says that a shape had not a form, of whatever size."""
        for row in self.absences:
            if row["lacks"] != "article" or slug(row["form"]) != form:
                continue
            whole = row["of"] == f"pottery/{self.makers[shape]}"
            if row["of"] == f"shape/{shape}" or (
                whole
                and all(self.before(row[k], shape) for k in ("after",) if row[k])
                and all(self.before(shape, row[k]) for k in ("before",) if row[k])
            ):
                return True
        for row in self.superlatives:
            kind, _, name = row["of"].partition("/")
            if slug(row["form"]) != form or name == shape:
                continue
            if kind == "pottery":
                if row["superlative"] == "only" and name != self.makers[shape]:
                    return True
            elif name in self.fellows(shape) and (
                row["superlative"] == "only"
                or (row["superlative"] == "first" and self.before(shape, name))
                or (row["superlative"] == "last" and self.before(name, shape))
            ):
                return True
        return any(
            r["shape"] == shape and slug(r["form"]) == form and r["produced"] == "no"
            for r in self.articles
        )

    def had(self, shape: str, form: str) -> str:
        """Say whether a shape had a form: yes, no, disputed, not known."""
        if (shape, form) not in self.known:
            self.known[shape, form] = self._had(shape, form)
        return self.known[shape, form]

    def _had(self, shape: str, form: str) -> str:
        speaking, denied = self.speaking(shape, form), self.denied(shape, form)
        if speaking and denied:
            return "disputed"
        if speaking or denied:
            return "yes" if speaking else "no"
        said = [
            self.complete.get(r["catalogue"], set()) for r in self.offers if r["shape"] == shape
        ]
        if {"yes"} in said:
            return "no"
        return "disputed, not shown" if {"yes", "no"} in said else "not known"

    def verdicts(self, best: str, shapes: Sequence[str], form: str) -> dict[str, str]:
        """Judge each of some shapes of which something says that it had a form."""
        had = [s for s in shapes if self.speaking(s, form)]
        return {shape: self._judged(best, shape, had, shapes, form) for shape in had}

    def _beats(self, best: str, one: str, other: str) -> bool:
        return self.before(one, other) if best == "first" else self.before(other, one)

    def _said(self, best: str, shape: str, form: str) -> bool:
        return any(
            r["of"] == f"shape/{shape}" and r["superlative"] == best and slug(r["form"]) == form
            for r in self.superlatives
        )

    def _judged(
        self, best: str, shape: str, had: Sequence[str], shapes: Sequence[str], form: str
    ) -> str:
        rivals = [s for s in had if s != shape]
        sure = [s for s in rivals if self.had(s, form) == "yes"]
        doubtful = [s for s in rivals if s not in sure]
        own = self.had(shape, form) == "disputed"
        open_ = [s for s in shapes if s not in had and self.had(s, form) != "no"]
        if best == "only":
            if sure:
                return "no"
            if own or doubtful:
                return "possibly"
            if not open_:
                return "yes"
            listed = {r["shape"] for r in self.offers}
            return (
                "possibly"
                if listed & set(open_) and not self._pieces_only(shape, form)
                else ("not known")
            )
        if any(self._beats(best, s, shape) for s in sure):
            return "possibly" if self._said(best, shape, form) else "no"
        in_doubt = own or any(self._beats(best, s, shape) for s in doubtful)
        if self._said(best, shape, form):
            return "possibly" if in_doubt else "yes"
        beside = [
            s for s in rivals if not self._beats(best, s, shape) and not self._beats(best, shape, s)
        ]
        if any(self._said(best, s, form) for s in beside):
            return "no"
        if beside:
            return "possibly" if self._listed_beyond(best, shape, beside, form) else "not known"
        unknown = any(not self._beats(best, shape, s) for s in open_)
        return "possibly" if in_doubt or unknown else "yes"

    def _pieces_only(self, shape: str, form: str) -> bool:
        return any(
            r["shape"] == shape and slug(r["form"]) == form for r in self.pieces
        ) and not self._but_pieces(shape, form)

    def _but_pieces(self, shape: str, form: str) -> bool:
        pieces, self.pieces = self.pieces, ()
        try:
            return self.speaking(shape, form)
        finally:
            self.pieces = pieces

    def _lists(self, shape: str, form: str) -> set[str]:
        return {
            r["catalogue"] for r in self.offers if r["shape"] == shape and slug(r["form"]) == form
        }

    def _listed_beyond(self, best: str, shape: str, beside: Sequence[str], form: str) -> bool:
        own = self._lists(shape, form)
        if not own or not all(self._lists(s, form) for s in beside):
            return False
        for other, theirs in ((s, list_) for s in beside for list_ in self._lists(s, form)):
            del other
            pairs = product(own, (theirs,))
            if best == "first":
                good = any(ahead(self.issued[a], self.issued[b]) for a, b in pairs)
            else:
                good = any(ahead(self.issued[b], self.issued[a]) for a, b in pairs)
            if not good:
                return False
        return True
