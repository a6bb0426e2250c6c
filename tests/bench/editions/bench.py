"""An edition's statements made canonical, summed, packed, patched and proved, at three sizes.

    python tests/bench/editions/bench.py [QUADS...]

The peer, in the same run, is pyoxigraph's own canonicalization of the whole dataset, with its lines
sorted and written. One statement in five hundred holds a blank node; one in a thousand is another in
the next edition.
"""

import gc
import resource
import sys
import time
from collections.abc import Callable, Iterator
from functools import partial
from hashlib import sha256
from typing import Any

import pyoxigraph as ox
from rdflib import BNode, Literal, URIRef
from rdflib.namespace import RDFS

from glost.answer.dataset import Quad
from glost.publish.editions.canonical import digest_of, lines_of, packed
from glost.publish.editions.patch import patch, patched
from glost.record.terms import quad

BASE = "https://example.org/bench/"


def made(size: int) -> list[Quad]:
    """Make a dataset: claims' graphs of some ten statements on pieces and shapes."""

    def each() -> Iterator[Quad]:
        for n in range(size):
            subject = BNode(f"n{n}") if n % 500 == 0 else URIRef(f"{BASE}piece/{n // 4}")
            value = (
                Literal(f"piece {n}, read {n % 7}") if n % 3 else URIRef(f"{BASE}shape/{n % 97}")
            )
            yield (
                subject,
                RDFS.seeAlso if n % 2 else RDFS.label,
                value,
                URIRef(f"{BASE}c/{n // 10}"),
            )

    return list(each())


def seconds(work: Callable[..., Any], *given: Any) -> tuple[float, Any]:
    gc.collect()
    begun = time.process_time()
    found = work(*given)
    return time.process_time() - begun, found


def peer(quads: list[Quad]) -> str:
    """Let pyoxigraph do the whole."""
    whole = ox.Dataset(quad(each[:3], each[3]) for each in quads)
    whole.canonicalize(ox.CanonicalizationAlgorithm.RDFC_1_0)
    return sha256("".join(sorted(f"{each} .\n" for each in whole)).encode()).hexdigest()


def main() -> None:
    print("quads       canonical  pack  patch  proved   all  pyoxigraph  ratio   GiB")
    for size in map(int, sys.argv[1:] or ("10000", "100000", "1000000")):
        quads = made(size)
        took, lines = seconds(lines_of, quads)
        summed, digest = seconds(digest_of, lines)
        pack, _ = seconds(packed, lines)
        after = sorted(
            [
                *lines[: -size // 1000],
                *(line.replace("c/", "d/") for line in lines[-size // 1000 :]),
            ]
        )
        patching, text = seconds(partial(patch, of="a", gives="b"), lines, after)
        proving, given = seconds(patched, lines, text)
        assert given == after
        other, theirs = seconds(peer, quads)
        assert theirs == digest
        whole = took + summed + pack + patching + proving
        most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1 << 20)
        print(f"{size:>9,} {took + summed:>11.2f} {pack:>5.2f} {patching:>6.2f} {proving:>7.2f} "
              f"{whole:>5.1f} {other:>11.2f} {(took + summed) / other:>6.2f} {most:>5.2f}")  # fmt: skip


if __name__ == "__main__":
    main()
