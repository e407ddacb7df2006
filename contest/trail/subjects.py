"""What an entry is about, so that the trail can be looked through by it.

A subject is a word and a number, such as `contestant:101` or `class:3`. Those that the sentence of an entry names are
read off it; what it does not name, such as everybody on an entry list, is said by whoever writes the entry.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from contest.trail.sentences import Sentence

KEY = re.compile(r"\bkey of class (\d{1,9})\b")
NAMED = re.compile(r"\b(contestant|class) (\d{1,9})\b")


def subjects(sentence: Sentence | str, about: Iterable[str] = ()) -> str:
    """All that an entry is about, as its column holds it: with a space around each, to be found whole."""
    its_own = sentence.subjects() if isinstance(sentence, Sentence) else named(sentence)
    said = " ".join(dict.fromkeys([*its_own, *about]))
    return f" {said} " if said else ""


def named(sentence: str) -> Iterator[str]:
    """The subjects that a sentence names, such as `class 3, contestant 101: card read`."""
    for kind, number in NAMED.findall(sentence):
        yield f"{kind}:{int(number)}"
    for number in KEY.findall(sentence):
        yield f"key:{int(number)}"


def contestants(numbers: Iterable[int]) -> list[str]:
    return [f"contestant:{number}" for number in numbers]


def found(subject: str) -> str:
    """What to look for in the column."""
    return f" {subject} "
