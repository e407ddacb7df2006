"""What the page of a stack says of its keys and signs."""

from __future__ import annotations

from typing import NamedTuple

from django.utils.translation import gettext as _

from contest.slips.cards import CardStack
from contest.slips.choices import ChoiceStack
from contest.slips.stack import Stack
from scoring.core.placing import ANIMALS


class Key(NamedTuple):
    """What pressing one of some keys does."""

    keys: tuple[str, ...]
    does: str


class Help(NamedTuple):
    """`legend` are buttons beside the stage, each of which presses its first key; `keys` is the whole list. `signs` are
    by what became of a reading."""

    legend: tuple[Key, ...]
    keys: tuple[Key, ...]
    signs: tuple[tuple[str, str], ...]


def help_for(stack: Stack, reads_twice: bool) -> Help:
    if isinstance(stack, CardStack):
        return help_for_cards(reads_twice, stack.judging_class.animals)
    if isinstance(stack, ChoiceStack):
        return help_for_answers(stack, reads_twice) if stack.part.questions else help_for_choices(reads_twice)
    return help_for_scores(stack.by_name, reads_twice)


def help_for_choices(reads_twice: bool) -> Help:
    legend = (
        Key(("*", "u"), _("unreadable")),
        Key(("-", "m"), _("no card")),
        Key(("/", "n"), _("other number")),
        Key(("+", "s"), _("skip")),
        Key(("z", ". ."), _("take back")),
    )
    keys = (
        Key((_("labels"),), _("the animals that are kept, in any order; a letter that is a label means the animal")),
        Key(("Enter",), _("ends the card, or a number")),
        Key(("*", "u"), _("the card cannot be read")),
        Key(("-", "m"), _("no card was handed in (m for missing)")),
        Key(("/", "n"), _("another card is on top: type its number, Enter, then what was kept")),
        Key(("+", "s"), _("the card is not there: skip it, and it comes again at the end")),
        Key(("Backspace", "."), _("one label back; pressed twice with nothing typed: take back the last reading")),
    )
    signs = (
        ("waiting", _("waiting to be sent, and kept on this device until then")),
        ("saved", _("saved; somebody else will read it too") if reads_twice else _("saved")),
        ("settled", _("saved and settled: nothing more to do")),
        ("differs", _("saved, but another reading says something else; the superintendent will look at the card")),
        ("repeated", _("saved, but you had read this card before")),
        ("trouble", _("saved as a doubt: the contestant is marked as absent; or not taken back, and why")),
    )
    return _with_shared(legend, keys, signs)


def help_for_answers(stack: ChoiceStack, reads_twice: bool) -> Help:
    legend = (
        Key(("/",), _("other number")),
        Key(("+",), _("skip")),
        Key(("Delete",), _("take back")),
    )
    keys = (
        Key(tuple(stack.part.options), _("the answers in a row, question by question")),
        Key((".", "-"), _("nothing is marked; alone with Enter: no sheet was handed in")),
        Key(("*", "?"), _("two are marked, or it cannot be made out; alone with Enter: the whole sheet is unreadable")),
        Key(("Enter",), _("ends the sheet once all answers are there, or a number")),
        Key(("/",), _("another sheet is on top: type its number, Enter, then its answers")),
        Key(("+",), _("the sheet is not there: skip it, and it comes again at the end")),
        Key(("Backspace",), _("one answer back; pressed twice with nothing typed: take back the last reading")),
    )
    signs = (
        ("waiting", _("waiting to be sent, and kept on this device until then")),
        ("saved", _("saved; somebody else will read it too") if reads_twice else _("saved")),
        ("settled", _("saved and settled: nothing more to do")),
        ("differs", _("saved, but another reading says something else; the superintendent will look at the sheet")),
        ("repeated", _("saved, but you had read this sheet before")),
        ("trouble", _("saved as a doubt: the contestant is marked as absent; or not taken back, and why")),
    )
    return _without_letters(_with_shared(legend, keys, signs))


def help_for_cards(reads_twice: bool, animals: str = ANIMALS) -> Help:
    """Where animals are called by letters, no letter is a command: the signs and `Delete` are."""
    legend = (
        Key(("*", "u"), _("unreadable")),
        Key(("-", "m"), _("no card")),
        Key(("/", "n"), _("other number")),
        Key(("+", "s"), _("skip")),
        Key(("z", ". .") if animals.isdigit() else ("Delete", ". ."), _("take back")),
    )
    keys = (
        Key(tuple(animals), _("the placing, best animal first; the card is in with its last digit")),
        Key(("*", "u"), _("the card cannot be read")),
        Key(
            ("-", "m"), _("no card was handed in (m for missing)") if animals.isdigit() else _("no card was handed in")
        ),
        Key(("/", "n"), _("another card is on top: type its number, Enter, then its placing")),
        Key(("+", "s"), _("skip this number; it comes again at the end. At the end: go on to the next stack")),
        Key(("Backspace", "."), _("one digit back; pressed twice with nothing typed: take back the last reading")),
        Key(("Enter",), _("ends a number; after a mistake: begin this card again")),
    )
    signs = (
        ("waiting", _("waiting to be sent, and kept on this laptop until then")),
        ("saved", _("saved; somebody else will read it too") if reads_twice else _("saved")),
        ("settled", _("saved and settled: nothing more to do")),
        ("differs", _("saved, but another reading says something else; the superintendent will look at the card")),
        ("repeated", _("saved, but you had read this card before")),
        ("trouble", _("saved as a doubt: unknown number, wrong class, or marked as absent")),
    )
    helped = _with_shared(legend, keys, signs)
    return helped if animals.isdigit() else _without_letters(helped)


def _without_letters(helped: Help) -> Help:
    def kept(keys: tuple[Key, ...]) -> tuple[Key, ...]:
        signs = ((tuple(name for name in key.keys if not (len(name) == 1 and name.islower())), key) for key in keys)
        return tuple(Key(names, key.does) for names, key in signs if names)

    return helped._replace(legend=kept(helped.legend), keys=kept(helped.keys))


def help_for_scores(by_name: bool, reads_twice: bool) -> Help:
    legend = (
        Key(("Enter",), _("ends a score")),
        Key(("/", "n"), _("other team") if by_name else _("other number")),
        Key(("-", "m"), _("no score")),
        Key(("+", "s"), _("skip")),
        Key(("z",), _("take back last")),
    )
    keys = (
        Key(("0–9", "."), _("the score, such as 43 or 43.5")),
        Key(("Enter",), _("ends the score")),
        Key(("/", "n"), _("another slip is on top: type its number, Enter, then its score")),
        Key(("-", "m"), _("the slip says no score: the set was not given, or the official did not hear it")),
        Key(("+", "s"), _("the slip is not there: skip it, and it comes again at the end")),
        Key(
            ("*", "e"),
            _("where two digits end a score: this one ends with Enter, so that 4 or 43.5 can be typed"),
        ),
        Key(
            ("Backspace",),
            _(
                "one digit back; after a mistake: begin this score again; pressed twice with nothing typed: "
                "take back the last reading"
            ),
        ),
    )
    signs = (
        ("waiting", _("waiting to be sent, and kept on this device until then")),
        ("saved", _("saved; somebody else will enter it too") if reads_twice else _("saved")),
        ("settled", _("saved and settled: nothing more to do")),
        ("differs", _("saved, but another reading says something else; the superintendent will look at the slip")),
        ("repeated", _("saved, but you had entered this score before")),
        ("trouble", _("saved as a doubt: the contestant is marked as absent; or not taken back, and why")),
    )
    return _with_shared(legend, keys, signs)


def _with_shared(legend: tuple[Key, ...], keys: tuple[Key, ...], signs: tuple[tuple[str, str], ...]) -> Help:
    more = (
        Key(("z", "Delete"), _("take back the last reading at once")),
        Key(("Tab",), _("to the buttons, such as taking back an earlier reading; the next digit leads back here")),
        Key(("x",), _("a refused reading is seen, and can leave the list")),
        Key(("Esc",), _("clear what is typed")),
    )
    refused = ("refused", _("not saved, and why; it stays in the list until you have seen it"))
    return Help((*legend, Key(("?", "h"), _("all keys"))), (*keys, *more), (*signs, refused))
