"""A new order out of an old one and what somebody asked for; knows nothing of what is put in order."""

from __future__ import annotations

from collections.abc import Sequence

UP, DOWN, OUT = "up", "down", "out"


def rearranged(order: Sequence[str], wish: str) -> list[str]:
    """The order after a wish such as `up 12`, `down class:3` or `out reasons`; what cannot go further stays.

    Raises ValueError for a wish that is none, or that names what is not in the order.
    """
    action, _, name = wish.partition(" ")
    place = list(order).index(name)
    rest = [*order[:place], *order[place + 1 :]]
    if action == OUT:
        return rest
    if action not in (UP, DOWN):
        raise ValueError(f"{wish!r} is no wish")
    rest.insert(max(place - 1, 0) if action == UP else place + 1, name)
    return rest
