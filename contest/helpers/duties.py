"""What each duty does: where its work begins, and what to tell whoever takes it on."""

from django.urls import NoReverseMatch, reverse
from django.utils.text import capfirst
from django.utils.translation import gettext_lazy

from contest.models import Duty, Helper
from contest.trail.sentences import say

FIRST_PAGES = {
    Duty.TABULATOR: "desk",
    Duty.KEYS: "keys",
    Duty.REASONS: "scores",
    Duty.ROOM: "reasons-rooms",
    Duty.OFFICIAL: "reasons-notes",
    Duty.COMMITTEE: "committee-mine",
    Duty.CHECK_IN: "check_in",
    Duty.ANNOUNCER: "announcer",
}

BEGINNINGS = {
    Duty.TABULATOR: gettext_lazy("Choose a stack that is free, fetch its cards, and type what they say."),
    Duty.KEYS: gettext_lazy("Type each class’s official placing and its three cuts, as the officials handed them in."),
    Duty.REASONS: gettext_lazy("Choose a class and an official, and type the scores from the official’s sheet."),
    Duty.ROOM: gettext_lazy("Press Begin when a contestant begins to speak, and tap the score."),
    Duty.OFFICIAL: gettext_lazy("Choose your class, and write what decided each of its pairs."),
    Duty.COMMITTEE: gettext_lazy("Choose a class, and hand in your placing and cuts. Nobody else’s are shown to you."),
    Duty.CHECK_IN: gettext_lazy("Find contestants by number as they arrive, and tick them off."),
    Duty.ANNOUNCER: gettext_lazy(
        "Queue the lists, note how names are said, and read the awards once the results are released."
    ),
}


PRACTICE = {Duty.TABULATOR: "desk-practice", Duty.REASONS: "scores-practice"}
"""The pages of invented slips, for the duties that read any."""

WORK = {
    Duty.TABULATOR: gettext_lazy("reads placing cards"),
    Duty.KEYS: gettext_lazy("enters the officials' placings and cuts"),
    Duty.REASONS: gettext_lazy("enters reasons scores and marks"),
    Duty.ROOM: gettext_lazy("gives scores on an official's tablet"),
    Duty.OFFICIAL: gettext_lazy("notes what decided the pairs of a class"),
    Duty.COMMITTEE: gettext_lazy("places classes alone, before a committee agrees"),
    Duty.CHECK_IN: gettext_lazy("ticks contestants off as they arrive"),
    Duty.ANNOUNCER: gettext_lazy("reads the awards"),
}


def duty_name(duty: str) -> str:
    """One word for a duty, as in `tabulator`: the one that the trail says."""
    return say(f"duty_{duty}", {})


def duty_parts(duty: str) -> tuple[str, str]:
    """A duty's name and what it does, as in `Tabulator` and `reads placing cards`."""
    return capfirst(duty_name(duty)), str(WORK[Duty(duty)])


def beginning(duty: str) -> str:
    """How the work of a duty begins, in a sentence."""
    return str(BEGINNINGS[Duty(duty)])


def practice_page(helper: Helper) -> str:
    """Where a helper can practise; empty where there is nothing to."""
    page = PRACTICE.get(Duty(helper.duty))
    return reverse(page, args=[helper.contest_id]) if page else ""


def first_page(helper: Helper) -> str:
    """The address a helper lands on: where their work begins, or the list of the contests of an event."""
    return reverse("helper-day") if helper.together else work_page(helper)


def work_page(helper: Helper) -> str:
    """Where a helper's work begins in a contest; that of the lobby where there is nothing to do yet."""
    try:
        return reverse(FIRST_PAGES.get(Duty(helper.duty), "lobby"), args=[helper.contest_id])
    except NoReverseMatch:
        return reverse("lobby", args=[helper.contest_id])
