"""The contests, one contest, and one of its classes."""

from typing import Any

from django.db.models import Count
from django.http import Http404, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from contest.access import SESSION_NAME, open_to_all
from contest.helpers.duties import first_page
from contest.keys import open_keys
from contest.models import Contest
from contest.overview import pages
from contest.overview.counting import read_once
from contest.shortcuts import answer, load_contest
from contest.web.requests import Request


@require_safe
def look(request: Request) -> HttpResponseBase:
    """Everything that pages are made of, side by side, for whoever changes how they look."""
    return render(request, "contest/look/look.html")


@open_to_all
@require_safe
def contests(request: Request) -> HttpResponseBase:
    """The superintendent's contests. A helper knows of one, and goes on to the work in it, or is told of having been
    shown out; a stranger sees what is on today."""
    if request.helper:
        return redirect(first_page(request.helper))
    if not request.is_superintendent:
        was_shown_out = SESSION_NAME in request.session
        return redirect("join" if was_shown_out else "today")
    rows = Contest.objects.annotate(people=Count("contestants"))
    if request.membership and request.membership.reach.contests is not None:
        rows = rows.filter(pk__in=request.membership.reach.contests)
    shown = [{"contest": row, "people": pages.contestants_text(row.people)} for row in rows]
    return render(request, "contest/contests.html", {"contests": shown})


@require_safe
def contest(request: Request, pk: int) -> HttpResponseBase:
    row, shown = load_contest(request, pk)

    def page() -> dict[str, Any]:
        return pages.contest_page(shown.record, open_keys(row), read_once(row))

    return answer(request, "contest/contest.html", row, shown, page)


@require_safe
def judging_class(request: Request, pk: int, number: int) -> HttpResponseBase:
    row, shown = load_contest(request, pk)
    judged = next((judged for judged in shown.record.classes if judged.number == number), None)
    if judged is None:
        raise Http404("The contest has no class of that number.")

    def page() -> dict[str, Any]:
        once = read_once(row).get(number, pages.NONE_ONCE)
        return pages.class_page(shown.record, judged, open_keys(row), once)

    return answer(request, "contest/class.html", row, shown, page)
