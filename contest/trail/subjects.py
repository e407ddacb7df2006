"""What an entry is about, so that the trail can be looked through by it.

A subject is a word and a number, such as `contestant:101` or `class:3`. Those that the sentence of an entry names are
its values; what it does not name, such as everybody on an entry list, is said by whoever writes the entry.
"""

from __future__ import annotations

from collections.abc import Iterable

from contest.trail.sentences import Sentence


def subjects(sentence: Sentence, about: Iterable[str] = ()) -> str:
    """All that an entry is about, as its column holds it: with a space around each, to be found whole."""
    said = " ".join(dict.fromkeys([*sentence.subjects(), *about]))
    return f" {said} " if said else ""


def contestants(numbers: Iterable[int]) -> list[str]:
    return [f"contestant:{number}" for number in numbers]


def found(subject: str) -> str:
    """What to look for in the column."""
    return f" {subject} "
