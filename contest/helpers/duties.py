"""Where each duty's work begins."""

from django.urls import NoReverseMatch, reverse

from contest.models import Duty, Helper

FIRST_PAGES = {
    Duty.TABULATOR: "desk",
    Duty.KEYS: "keys",
    Duty.REASONS: "scores",
    Duty.CHECK_IN: "check_in",
}


def first_page(helper: Helper) -> str:
    """The address a helper lands on; that of the lobby where there is nothing to do yet."""
    try:
        return reverse(FIRST_PAGES.get(Duty(helper.duty), "lobby"), args=[helper.contest_id])
    except NoReverseMatch:
        return reverse("lobby", args=[helper.contest_id])
