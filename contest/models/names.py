"""Where names of people stand: each model that holds any says so in its `holds_names`, for `contest.privacy`."""

from typing import NamedTuple


class Names(NamedTuple):
    """Of a row's columns, `people` name whoever acted, `emptied` are emptied once names go, and `words` are what
    somebody typed, which may tell of anybody."""

    people: tuple[str, ...] = ()
    emptied: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
