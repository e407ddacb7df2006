"""Edge colouring of a bipartite graph with as many colours as its largest load (D. Kőnig, 1916).

Contestants and rooms are the nodes, sets the edges, slots of time the colours. Edges are coloured one after the other.
Where a contestant c and a room r have no free slot in common, c is free in slot a and r in slot b: on the path that
begins at r with the edge of slot a and goes on in turns of b and a, the two slots are swapped. The path cannot come
to c, since it reaches contestants by edges of slot a, and c has none; so then slot a is free at both.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

Slots = list[dict[int, list[int | None]]]
"""By side, node and colour: the edge there."""


def colour(edges: Sequence[tuple[int, int]]) -> list[int]:
    """A colour for each edge (left node, right node), from 0, so that no two edges of a node share one.

    There are as many colours as the node with the most edges has edges. Parallel edges are allowed.
    """
    lefts, rights = Counter(left for left, _ in edges), Counter(right for _, right in edges)
    colours = max([*lefts.values(), *rights.values()], default=0)
    at: Slots = [{node: [None] * colours for node in nodes} for nodes in (lefts, rights)]
    colour_of = [0] * len(edges)
    for edge, (left, right) in enumerate(edges):
        free_left, free_right = at[0][left].index(None), at[1][right].index(None)
        if at[1][right][free_left] is not None:
            _swap_path(edges, at, colour_of, right, free_left, free_right)
        colour_of[edge] = free_left
        at[0][left][free_left] = at[1][right][free_left] = edge
    return colour_of


def _swap_path(
    edges: Sequence[tuple[int, int]],
    at: Slots,
    colour_of: list[int],
    right: int,
    colour_a: int,
    colour_b: int,
) -> None:
    """Swap the two colours along the path that begins at a right node with an edge of `colour_a`."""
    path, side, node, colour = [], 1, right, colour_a
    while (edge := at[side][node][colour]) is not None:
        path.append(edge)
        side = 1 - side
        node = edges[edge][side]
        colour = colour_b if colour == colour_a else colour_a
    for edge in path:
        for side in (0, 1):
            at[side][edges[edge][side]][colour_of[edge]] = None
    for edge in path:
        colour_of[edge] = colour_b if colour_of[edge] == colour_a else colour_a
        for side in (0, 1):
            at[side][edges[edge][side]][colour_of[edge]] = edge
