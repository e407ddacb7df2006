"""Edge colouring with as many colours as the largest load."""

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from reasons.planning.colouring import colour

EDGES = st.lists(st.tuples(st.integers(0, 12), st.integers(0, 8)), max_size=80)


@given(EDGES)
def test_no_two_edges_of_a_node_share_a_colour_and_the_largest_load_is_enough(edges):
    colours = colour(edges)
    assert len(colours) == len(edges)
    for side in (0, 1):
        seen = Counter((edge[side], given) for edge, given in zip(edges, colours, strict=True))
        assert all(count == 1 for count in seen.values())
    loads = [Counter(edge[side] for edge in edges) for side in (0, 1)]
    largest = max((load for counted in loads for load in counted.values()), default=0)
    assert set(colours) <= set(range(largest))
