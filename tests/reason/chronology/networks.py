"""Random networks with claims, for tests."""

from hypothesis import strategies as st

from glost.reason.chronology import Network
from network_draft import Draft

Row = tuple[int, int, int, frozenset[int]]


@st.composite
def rows(draw: st.DrawFn, events: int = 6, claims: int = 6, most: int = 14) -> list[Row]:
    """Draw constraints, some of them sharing claims, some resting on several or on none."""
    event = st.integers(0, events - 1)
    behind = st.frozensets(st.integers(0, claims - 1), max_size=2)
    row = st.tuples(event, event, st.integers(-12, 12), behind)
    return draw(st.lists(row.filter(lambda r: r[0] != r[1]), min_size=1, max_size=most))


def network(given: list[Row], events: int = 6) -> Network:
    draft = Draft(events)
    for source, target, days, claims in given:
        draft.at_most(source, target, days, claims)
    return draft.network()
