"""Sets of results: who is in which."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from contest.access import contest_for
from contest.entries.forms import PutInSetForm
from contest.entries.replies import Trouble, attempt, done, show
from contest.entries.sets import in_no_set, numbers_named, put_in_set, sets_shown, take_out_of_set
from contest.history.offering import offer
from contest.models import Contest, ResultSet
from contest.web.requests import Request
from scoring.core.explain import first_numbers
from scoring.core.points import in_thousands


@require_safe
def sets(request: Request, pk: int) -> HttpResponse:
    return show_sets(request, contest_for(request, pk))


@require_POST
def put(request: Request, pk: int, row: int) -> HttpResponse:
    """Put many into a set at once, or take them out of it."""
    contest = contest_for(request, pk)
    of = get_object_or_404(contest.sets.select_related("contest"), pk=row)
    form, out = PutInSetForm(contest, request.POST, prefix_of=str(of.pk)), request.POST.get("do") == "out"
    if not form.is_valid():
        return show_sets(request, contest, of, form, 422)
    before = contest.revision

    def work() -> int:
        typed = form.cleaned_data
        numbers = numbers_named(typed["who"]) if typed["who"] else None
        return (take_out_of_set if out else put_in_set)(of, numbers, request.who, typed["division"])

    try:
        count = attempt(request, work)
    except Trouble as trouble:
        form.trouble(trouble)
        return show_sets(request, contest, of, form, trouble.status)
    offer(request, contest, before)
    text = (
        ngettext("{count} is taken out of {name}.", "{count} are taken out of {name}.", count)
        if out
        else ngettext("{count} is put into {name}.", "{count} are put into {name}.", count)
    )
    return done(request, text.format(count=in_thousands(count), name=of.name), "entries-sets", pk=pk)


def show_sets(
    request: Request,
    contest: Contest,
    at: ResultSet | None = None,
    bound: PutInSetForm | None = None,
    status: int = 200,
) -> HttpResponse:
    shown = [
        (of, bound if bound and at and at.pk == of.row.pk else PutInSetForm(contest, prefix_of=str(of.row.pk)))
        for of in sets_shown(contest)
    ]
    nowhere = in_no_set(contest)
    context = {"sets": shown, "nowhere": first_numbers(nowhere), "nowhere_count": len(nowhere)}
    return show(request, "sets.html", contest, context, status)
