"""What an official of a committee does on their own phone: one class at a time, and nothing of anybody else's."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from contest import outbox
from contest.access import contest_for, open_to
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.committee.handing_in import hand_in, handed_in
from contest.models import CommitteeSeat, Contest, Duty
from contest.watch.committee_forms import PlacedForm
from contest.watch.committee_pages import SeatShown
from contest.watch.rendering import page
from contest.watch.views.doubts import problem_text
from contest.web.requests import Request
from contest.web.submissions import submitted

ROOM = "committee"


@open_to(Duty.COMMITTEE)
@require_safe
def mine(request: Request, pk: int) -> HttpResponse:
    """An official's own classes, and which of them are handed in."""
    contest = contest_for(request, pk)
    rows = _own(request, contest)
    done = next((row for row in rows if str(row.seat.judging_class.number) == request.GET.get("done")), None)
    return page(
        request,
        "mine.html",
        contest,
        rows=rows,
        done=done,
        agreed=next((row for row in rows if str(row.seat.judging_class.number) == request.GET.get("agreed")), None),
        next=next((row for row in rows if row.key is None), None),
        outbox=outbox.outbox_of(request, contest, ROOM),
        folder="committee",
    )


@open_to(Duty.COMMITTEE)
@never_cache
@require_safe
def hello(request: Request, pk: int) -> HttpResponse:
    return outbox.hello(request, outbox.shelf_of(request, contest_for(request, pk), ROOM))


@open_to(Duty.COMMITTEE)
@require_http_methods(["GET", "HEAD", "POST"])
@outbox.sent_by_outbox
def one(request: Request, pk: int, number: int) -> HttpResponse:
    """Hand in a placing and its cuts for one class."""
    contest = contest_for(request, pk)
    row = next((row for row in _own(request, contest) if row.seat.judging_class.number == number), None)
    if row is None:
        raise Http404("Another committee places that class.")
    judged = row.seat.judging_class
    begin = PlacedForm.saying(row.key.placing, row.key.cuts) if row.key else {}
    form = PlacedForm(judged.animals, request.POST if request.method == "POST" else None, initial=begin)
    status = 200
    if request.method == "POST":
        status = 422
        try:
            if form.is_valid():
                placing = form.cleaned_data["placing"]
                submitted(request, lambda: hand_in(row.seat, placing, form.cuts, request.who).version)
                return redirect(reverse("committee-mine", args=[pk]) + f"?done={number}")
        except (NotPossible, SubmissionReused) as problem:
            form.add_error(None, problem_text(problem))
    shown = page(
        request,
        "hand_in.html",
        contest,
        status,
        judged=judged,
        seat=None,
        form=form,
        latest=row if row.key else None,
        has_key=judged.keys.exists(),
        outbox=outbox.outbox_of(request, contest, ROOM),
        folder="committee",
    )
    return outbox.because(shown, form.first_trouble)


def _own(request: Request, contest: Contest) -> list[SeatShown]:
    """The seats of whoever asks, in the order of the contest's classes; a superintendent has none."""
    own = request.helper.committee_official_id if request.helper else None
    seats = CommitteeSeat.objects.filter(official=own, judging_class__contest=contest, judging_class__void=False)
    rows = list(seats.select_related("official", "judging_class__contest").order_by("judging_class__position"))
    keys = handed_in(rows)
    return [SeatShown(seat, keys.get(seat.pk)) for seat in rows]
