"""Protests after a release: until when they are taken, what they say, and what is decided."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils import timezone
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contest, Touches
from contest.trail import Personal, record_change, sentence
from contest.trail.hashing import NAME_LENGTH
from contest.trail.sentences import Sentence
from contest.web.revisions import once_a_version
from scoring.models import Protest, ProtestWindow, Release


@dataclass(frozen=True, slots=True)
class ToldWindow:
    """Until when protests are taken, as the crowd reads it; `deadline` is local time."""

    deadline: datetime
    note: str
    is_closed: bool

    @property
    def is_over(self) -> bool:
        return self.is_closed or self.deadline <= timezone.now()


def told_of_protests(contest: Contest) -> ToldWindow | None:
    """What the crowd is told of protests, looked up once a revision; None where nothing was said of them."""
    return once_a_version(f"protests-{contest.pk}", str(contest.revision), lambda: _told(contest))


def _told(contest: Contest) -> ToldWindow | None:
    window = ProtestWindow.objects.filter(contest=contest).first()
    return ToldWindow(localtime(window.deadline), window.note, window.closed_at is not None) if window else None


@changes
def take_protests(contest: Contest, by: str, deadline: datetime, note: str = "") -> ProtestWindow:
    """Take protests until a deadline, or until another one than before; the results are final once that is closed.

    Raises NotPossible before a release, and for a deadline that is over.
    """
    take_turn(contest.pk)
    if not Release.standing(contest).exists():
        raise NotPossible(_("there are no results yet to protest against"))
    if deadline <= timezone.now():
        raise NotPossible(_("that time is over already"))
    before = ProtestWindow.objects.filter(contest=contest).first()
    window, _made = ProtestWindow.objects.update_or_create(
        contest=contest, defaults={"deadline": deadline, "note": note.strip(), "closed_at": None}
    )
    what = sentence("protests_taken", until=_time(deadline))
    _record(contest, by, what, before and _time(before.deadline), note.strip())
    return window


@changes
def close_protests(contest: Contest, by: str) -> None:
    """Take no more protests: the results are final. Raises NotPossible while one is open, and where none are taken."""
    take_turn(contest.pk)
    waiting = Protest.objects.filter(contest=contest, closed_at=None).count()
    if waiting:
        first = ngettext("first decide the protest that is open", "first decide {count} protests", waiting)
        raise NotPossible(first.format(count=waiting))
    if not ProtestWindow.objects.filter(contest=contest, closed_at=None).update(closed_at=timezone.now()):
        raise NotPossible(_("no protests are taken"))
    _record(contest, by, sentence("protests_closed"))


@changes
def note_protest(contest: Contest, noted_by: str, by: str, text: str) -> Protest:
    """Write down a protest that `by` handed in, late ones too. Raises NotPossible while none are taken, and for one
    that says nothing or comes from nobody."""
    take_turn(contest.pk)
    by, text = " ".join(by.split()), text.strip()
    if not by:
        raise NotPossible(_("say whose protest it is"))
    if not text:
        raise NotPossible(_("say what the protest is about"))
    if not ProtestWindow.objects.filter(contest=contest, closed_at=None).exists():
        raise NotPossible(_("no protests are taken"))
    protest = Protest.objects.create(contest=contest, by=by, text=text)
    _record(contest, noted_by, sentence("protest_noted"), after={"person": by, "text": _words(text)})
    return protest


@changes
def decide_protest(protest: Protest, by: str, outcome: str) -> None:
    """Close a protest with what was decided. Raises NotPossible without that, and where it is closed already."""
    take_turn(protest.contest_id)
    outcome = outcome.strip()
    if not outcome:
        raise NotPossible(_("say what was decided"))
    closed = Protest.objects.filter(pk=protest.pk, closed_at=None).update(outcome=outcome, closed_at=timezone.now())
    if not closed:
        raise NotPossible(_("somebody has decided this protest already"))
    before = {"person": protest.by, "text": _words(protest.text)}
    _record(protest.contest, by, sentence("protest_decided"), before=before, after=_words(outcome))


def _record(contest: Contest, by: str, what: Sentence, before: Any = None, after: Any = None) -> None:
    record_change(contest, by, what, before=before, after=after, touches=Touches.NOTHING)


def _words(text: str) -> list[Personal]:
    """A text that is likely to tell of somebody, in pieces as long as the trail can forget."""
    return [Personal(text[start : start + NAME_LENGTH]) for start in range(0, len(text), NAME_LENGTH)]


def _time(at: datetime) -> str:
    return f"{localtime(at):%Y-%m-%d %H:%M}"
