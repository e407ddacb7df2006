"""What the superintendent puts on the board: one list, one class's key, the sweepstakes of the day, nothing at all, or
what comes by itself.

A choice is made of what is public anyway: a list once all may read the standings, a key once it is shown. One that is
so no longer, and every move of the ceremony, gives the board back to what comes by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from django.db import transaction
from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contest, Touches
from contest.trail import record_change, sentence
from contest.trail.sentences import Sentence
from contest.web.revisions import ask_anew
from scoring.announced.held_back import holds_back
from scoring.announced.released import released
from scoring.board.awards import ListKey, NamedList, named_lists
from scoring.board.day import DAY, is_of_day, table_wish
from scoring.events.showing import shown_day
from scoring.models import BoardChoice, KeyRelease

AUTOMATIC, DARK = "", "dark"
LIST, KEY, PICTURE = "list/", "key/", "picture/"


@dataclass(frozen=True, slots=True)
class Option:
    """Something that the board could show. `wish` is as a choice is written."""

    wish: str
    label: str
    is_chosen: bool


def choice_of(contest: Contest) -> BoardChoice:
    """What is chosen; where nothing ever was, that it goes by itself."""
    return BoardChoice.objects.filter(contest=contest).first() or BoardChoice(contest=contest)


def list_wish(key: ListKey) -> str:
    return LIST + "/".join(key)


def key_wish(number: int) -> str:
    return f"{KEY}{number}"


def picture_wish(number: int) -> str:
    return f"{PICTURE}{number}"


def public_lists(contest: Contest) -> list[NamedList]:
    """The lists that all may read: none before they were announced, or while they are still told from the stage."""
    announced = released(contest)
    if announced is None or holds_back(contest):
        return []
    return named_lists(announced.record, announced.result)


def options(contest: Contest) -> Sequence[Option]:
    """Every list, every key, for a critique how each such class was placed, and the sweepstakes of the day, that could
    be shown now."""
    chosen = choice_of(contest).shows
    keys = KeyRelease.objects.filter(judging_class__contest=contest).order_by("judging_class__position")
    shown = [(list_wish(named.key), str(named)) for named in public_lists(contest)]
    for number, name in keys.values_list("judging_class__number", "judging_class__name"):
        shown += [
            (key_wish(number), _("Key of class {number}, {name}").format(number=number, name=name)),
            (picture_wish(number), _("How all placed class {number}, {name}").format(number=number, name=name)),
        ]
    shown += sweepstakes(contest)
    return [Option(wish, label, wish == chosen) for wish, label in shown]


def sweepstakes(contest: Contest) -> list[tuple[str, str]]:
    """The sweepstakes of the contest's day, where everybody may read them: every table by turns, and each."""
    day = shown_day(contest)
    if day is None or not day.tables:
        return []
    every = (DAY, _("Sweepstakes of {event}, every table by turns").format(event=day.event))
    words = _("Sweepstakes of {event}: {table}")
    return [every, *((table_wish(one), words.format(event=day.event, table=one.title)) for one in day.tables)]


@changes
def choose(contest: Contest, wish: str, by: str) -> None:
    """Put on the board what is wished, and light it. Raises NotPossible for what is not public, or not any more."""
    take_turn(contest.pk)
    contest.refresh_from_db()
    if wish == DARK:
        darken(contest, True, by)
        return
    if wish != AUTOMATIC and wish not in [option.wish for option in options(contest)]:
        raise NotPossible(_("that cannot be shown, or not any more"))
    BoardChoice.objects.update_or_create(contest=contest, defaults={"shows": wish, "dark": False})
    _record(contest, by, _said(wish))


@changes
def darken(contest: Contest, dark: bool, by: str) -> None:
    """Let the board be dark, or show again what it showed before."""
    take_turn(contest.pk)
    BoardChoice.objects.update_or_create(contest=contest, defaults={"dark": dark})
    _record(contest, by, sentence("board_dark" if dark else "board_light"))


def _said(wish: str) -> Sentence:
    if wish.startswith(KEY):
        return sentence("board_key", key_of=int(wish.removeprefix(KEY)))
    if wish.startswith(PICTURE):
        return sentence("board_picture", key_of=int(wish.removeprefix(PICTURE)))
    if wish.startswith(LIST):
        return sentence("board_list", award=wish.removeprefix(LIST).replace("/", " "))
    if is_of_day(wish):
        return sentence("board_sweepstakes")
    return sentence("board_automatic")


def _record(contest: Contest, by: str, said: Sentence) -> None:
    transaction.on_commit(partial(ask_anew, contest.pk))
    record_change(contest, by, said, touches=Touches.NOTHING)
