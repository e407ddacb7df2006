"""What the trail says, as codes and values, so that anybody can read it in their own language at any time.

Each module has the sentences of an area: a code, and the sentence that stands for it with its values in braces; a pair
(`ngettext_noop`) where a number decides (`count`). A code stays as it is for good, since entries hold it; its sentence
may be mended.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from contest.trail.sentences import (
    checklist,
    committee,
    entries,
    helpers,
    keys,
    machine,
    prints,
    results,
    rooms,
    scanning,
    setup,
    slips,
    trail,
)
from contest.web.searching import plain
from scoring.core.points import as_figure, in_thousands
from scoring.core.texts import gettext, ngettext

SENTENCES: Mapping[str, str | tuple[str, str]] = {
    **checklist.SENTENCES,
    **committee.SENTENCES,
    **entries.SENTENCES,
    **helpers.SENTENCES,
    **keys.SENTENCES,
    **machine.SENTENCES,
    **prints.SENTENCES,
    **results.SENTENCES,
    **rooms.SENTENCES,
    **scanning.SENTENCES,
    **setup.SENTENCES,
    **slips.SENTENCES,
    **trail.SENTENCES,
}

VALUE = re.compile(r"\{\w+\}")

SUBJECTS = {"contestant": "contestant", "judged": "class", "key_of": "key"}
"""Values that are what an entry is about, each with the word that it is looked for by; `judged` is a class's number."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence of the trail. Values are whatever JSON can hold, and sentences; none is somebody's name."""

    code: str
    values: Mapping[str, Any] = field(default_factory=dict)

    def __str__(self) -> str:
        return say(self.code, self.plain())

    def plain(self) -> dict[str, Any]:
        """The values as JSON holds them."""
        return {name: as_json(value) for name, value in self.values.items()}

    def subjects(self) -> Iterator[str]:
        """What it is about, by its values: `contestant:101`, `class:3`."""
        yield from _subjects(self.plain())


def sentence(code: str, **values: Any) -> Sentence:
    """A sentence of the trail by its code. Raises KeyError for a code that stands in no table."""
    SENTENCES[code]
    return Sentence(code, values)


def say(code: str, values: Mapping[str, Any] | None) -> str:
    """What an entry says, in the language of the moment; a code that nobody knows any more is said as it is."""
    text = SENTENCES.get(code)
    if text is None:
        return code
    values = {name: _said(value) for name, value in (values or {}).items()}
    if isinstance(text, str):
        return gettext(text).format(**values)
    count = values["count"]
    return ngettext(*text, count).format(**values | {"count": in_thousands(count)})


def codes_that_say(word: str) -> set[str]:
    """The codes of all sentences that have a word, in the language of the moment, whatever stands in them."""
    wanted = plain(word)
    return {code for code, text in SENTENCES.items() if any(wanted in said for said in _without_values(text))}


def _without_values(text: str | tuple[str, str]) -> Iterator[str]:
    forms = [gettext(text)] if isinstance(text, str) else [ngettext(*text, count) for count in (1, 2)]
    for form in forms:
        yield plain(VALUE.sub("\n", form))


def _subjects(values: Mapping[str, Any]) -> Iterator[str]:
    for name, value in values.items():
        if name in SUBJECTS:
            yield f"{SUBJECTS[name]}:{value}"
            if name == "key_of":
                yield f"class:{value}"
        elif is_sentence(value):
            yield from _subjects(value["values"])


def is_sentence(value: Any) -> bool:
    """Whether it is a sentence as JSON holds it."""
    return isinstance(value, Mapping) and value.keys() == {"code", "values"}


def as_json(value: Any) -> Any:
    """A value as JSON holds it: a sentence by its code and its values."""
    if isinstance(value, list | tuple):
        return list(map(as_json, value))
    return {"code": value.code, "values": value.plain()} if isinstance(value, Sentence) else value


def _said(value: Any) -> Any:
    if is_sentence(value):
        return say(**value)
    if isinstance(value, float):
        return as_figure(str(value))
    return ", ".join(str(_said(held)) for held in value) if isinstance(value, list) else value
