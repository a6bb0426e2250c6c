"""Names of the same thing: one stands for all, and who was equated with whom is kept."""

from collections.abc import Iterator


class Sameness:
    """Union-find over codes; the least code of a group stands for it.

    References
    ----------
    Galler and Fischer, "An improved equivalence algorithm", 1964.
    """

    def __init__(self) -> None:
        self._parent: dict[int, int] = {}
        self._members: dict[int, list[int]] = {}

    def __bool__(self) -> bool:
        """Whether any two names have been equated."""
        return bool(self._parent)

    def find(self, code: int) -> int:
        """Return the code that stands for another."""
        root = code
        while (above := self._parent.get(root, root)) != root:
            root = above
        while (above := self._parent.get(code, code)) != root:
            self._parent[code], code = root, above
        return root

    def union(self, a: int, b: int) -> tuple[int, int] | None:
        """Equate two codes.

        Returns
        -------
        tuple of int or None
            The code that no longer stands for itself and the one that now stands for it, or
            ``None`` if they were the same already.
        """
        kept, lost = sorted((self.find(a), self.find(b)))
        if kept == lost:
            return None
        self._members.setdefault(kept, [kept]).extend(self._members.pop(lost, [lost]))
        self._parent[lost] = kept
        return lost, kept

    def members(self, code: int) -> list[int]:
        """Return all codes equated with a code, itself included."""
        return self._members.get(self.find(code), [code])

    def groups(self) -> Iterator[tuple[int, list[int]]]:
        """Yield the groups of more than one, each with the code that stands for it."""
        yield from self._members.items()
