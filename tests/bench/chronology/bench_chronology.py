"""The chronology at size, against networkx in the same run.

Run: python tests/bench/chronology/bench_chronology.py [pieces]
"""

import resource
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[3]
sys.path[:0] = [str(ROOT / "kg"), str(ROOT / "tests" / "support")]

import networkx as nx  # noqa: E402
import numpy as np  # noqa: E402

from glost.reason.chronology import (  # noqa: E402
    FAR,
    Network,
    Reasons,
    bounds,
    solve,
    survey,
    why_not_after,
    why_not_before,
)
from glost.reason.chronology.propagate import relative_cycles  # noqa: E402
from network_draft import Draft  # noqa: E402

RUNS = 5_000


def timed(name: str, work: Callable[[], Any]) -> tuple[Any, float]:
    start = time.perf_counter()
    result = work()
    seconds = time.perf_counter() - start
    print(f"  {name}: {seconds:.3f} s")
    return result, seconds


class Trade:
    """Pieces by the thousand, each of a run, most of them dated: six constraints a piece."""

    def __init__(self, pieces: int, seed: int = 1) -> None:
        rng = np.random.default_rng(seed)
        self.pieces = pieces
        self.begun = 680_000 + rng.integers(0, 20_000, RUNS)
        self.ended = self.begun + rng.integers(2_000, 20_000, RUNS)
        self.run = rng.integers(0, RUNS, pieces)
        share = rng.random(pieces)
        length = (self.ended - self.begun)[self.run]
        self.made = self.begun[self.run] + (share * length).astype(np.int64)
        self.begin = np.arange(1, RUNS + 1)
        self.end = self.begin + RUNS
        self.making = 2 * RUNS + 1 + np.arange(pieces)
        self.decorating = self.making + pieces

    def network(self) -> Network:
        """Build the network from the columns, each constraint resting on a claim."""
        begin, end, making, decorating = self.begin, self.end, self.making, self.decorating
        of_run, of_piece = np.arange(RUNS), RUNS + np.arange(self.pieces)
        dated = of_piece + self.pieces
        none = np.zeros(RUNS, dtype=np.int64)
        zero = np.zeros(self.pieces, dtype=np.int64)
        parts = [
            (end, begin, none, of_run),
            (none, begin, self.begun + 365, of_run),
            (begin, none, 365 - self.begun, of_run),
            (none, end, self.ended + 3_000, of_run),
            (end, none, 365 - self.ended, of_run),
            (making, begin[self.run], zero, of_piece),
            (end[self.run], making, zero, of_piece),
            (decorating, making, zero, of_piece),
            (zero, decorating, self.made + 5_000, dated),
            (making, zero, 182 - self.made, dated),
            (zero, making, self.made + 182, dated),
        ]
        columns = [np.concatenate(column) for column in zip(*parts, strict=True)]
        reasons = Reasons.one_each(RUNS + 2 * self.pieces)
        return Network.build(1 + 2 * RUNS + 2 * self.pieces, *columns, reasons)


def with_networkx(network: Network) -> list[float]:
    """Find the bounds by Bellman and Ford, and by Goldberg and Radzik, of networkx."""
    graph = nx.DiGraph()
    for source, target, days in zip(network.source, network.target, network.days, strict=True):
        s, t, d = int(source), int(target), int(days)
        if not graph.has_edge(s, t) or graph[s][t]["weight"] > d:
            graph.add_edge(s, t, weight=d)
    back = graph.reverse()
    ours = bounds(network)
    times = []
    for name, method in (
        ("Bellman-Ford", lambda g: dict(nx.single_source_bellman_ford_path_length(g, 0))),
        ("Goldberg-Radzik", lambda g: nx.goldberg_radzik(g, 0)[1]),
    ):
        both, seconds = timed(f"networkx, {name}", lambda find=method: (find(graph), find(back)))
        assert all(ours.latest[event] == day for event, day in both[0].items())
        assert all(-ours.earliest[event] == day for event, day in both[1].items())
        times.append(seconds)
    return times


def growth(pieces: int) -> None:
    print("Bounds, three sizes")
    for size in (pieces // 100, pieces // 10, pieces):
        network = Trade(size).network()
        print(f" {size} pieces, {len(network)} constraints")
        _, ours = timed("ours, earliest and latest days", lambda net=network: bounds(net))
        print(f"  {ours / len(network) * 1e9:.0f} ns a constraint")
        if size <= 10_000:
            ford, radzik = with_networkx(network)
            print(f"  networkx takes {ford / ours:.0f} and {radzik / ours:.0f} times as long")


def reasons(pieces: int) -> None:
    print(f"From columns of numbers to bounds with reasons, {pieces} pieces")
    start = time.perf_counter()
    network, _ = timed("network from columns", lambda: Trade(pieces).network())
    solution, _ = timed("solve, nothing clashing", lambda: solve(network))
    assert not solution.conflicts
    rng = np.random.default_rng(3)
    events = rng.integers(1, network.events, 200).tolist()
    why_not_after(network, solution.bounds, 1)
    times = []
    for event in events:
        begun = time.perf_counter()
        chain = why_not_after(network, solution.bounds, event)
        chain += why_not_before(network, solution.bounds, event)
        times.append((time.perf_counter() - begun) / 2)
        assert chain or abs(int(solution.bounds.latest[event])) >= FAR
    print(f"  one bound's reasons: {1e3 * np.median(times):.3f} ms, at most {1e3 * max(times):.3f}")
    print(f"  in all {time.perf_counter() - start:.2f} s, {memory():.2f} GiB at most")


def memory() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20


def chains(pieces: int) -> None:
    print("Chains of relative statements, alone and among the pieces")
    for length in (1_000, 10_000, 100_000):
        draft = Draft(length + 1)
        draft.not_before(length, 0, [0])
        for event in range(length, 1, -1):
            draft.at_most(event - 1, event, -1, [event])
            draft.not_before(event - 1, -3 * event, [length + event])
        network = draft.network()
        timed(
            f"{length} links, each with a date that an earlier one beats",
            lambda net=network: bounds(net),
        )
    trade = Trade(pieces)
    network = trade.network()
    links = 10_000
    order = np.resize(np.argsort(trade.begun), links)
    ends = trade.begin[order[:-1]], trade.begin[order[1:]]
    slack = trade.begun[order[1:]] - trade.begun[order[:-1]] + 700
    chained = network.adding(*ends, slack, np.zeros(links - 1, dtype=np.int64))
    timed(f"{links} links among {len(network)} constraints", lambda: bounds(chained))
    bad = chained.adding([trade.begin[0]], [trade.begin[0]], [-1], [0])
    found, _ = timed("the same with a clash of one", lambda: relative_cycles(bad))
    assert len(found) == 1
    print("Clashes among relative statements, a day out in a circle of links of ten years")
    for length in (100, 1_000, 10_000):
        source = np.arange(1, length + 1)
        target = np.roll(source, -1)
        days = np.full(length, 3_650)
        days[-1] = -3_650 * (length - 1) - 1
        circle = Network.build(length + 1, source, target, days)
        found, _ = timed(f"{length} links", lambda net=circle: relative_cycles(net))
        assert len(found) == 1


def planted(pieces: int, count: int = 1_000) -> None:
    print(f"{count} conflicts planted among {pieces} pieces")
    trade = Trade(pieces)
    network = trade.network()
    runs = np.random.default_rng(5).permutation(RUNS)[:count]
    claims = len(network.reasons) + np.arange(count)
    table = Reasons(
        np.concatenate([network.reasons.starts, network.reasons.starts[-1] + 1 + np.arange(count)]),
        np.concatenate([network.reasons.claims, claims]),
    )
    half = count // 2
    zero = np.zeros(half, dtype=np.int64)
    # half say of a run that it ended before it began; half that it ended before its beginning
    source = np.concatenate([zero, trade.begin[runs[half:]]])
    target = trade.end[runs]
    days = np.concatenate([trade.begun[runs[:half]] - 1_000, zero - 400])
    columns = [
        np.concatenate(pair)
        for pair in zip(
            (network.source, network.target, network.days, network.reason),
            (source, target, days, claims),
            strict=True,
        )
    ]
    spoilt = Network.build(network.events, *columns, table)
    first, _ = timed("survey", lambda: survey(spoilt))
    print(f"  {len(first.conflicts)} conflicts in the first survey, {first.disputed.sum()} events")
    solution, _ = timed("solve: found, explained, repaired", lambda: solve(spoilt))
    print(f"  {len(solution.conflicts)} minimal conflicts, {len(solution.choices)} choices")
    print(f"  set aside {len(solution.set_aside)} claims at cost {solution.cost:g}")
    assert not survey(solution.sound).conflicts
    assert solution.cost == count
    print(f"  {memory():.2f} GiB at most")


def main() -> None:
    pieces = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    growth(pieces)
    reasons(pieces)
    chains(pieces)
    planted(pieces)


if __name__ == "__main__":
    main()
