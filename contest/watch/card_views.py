"""One card: all that was ever read of it, and what the superintendent does about it."""

from __future__ import annotations

from django.db.models import Q
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from contest.access import contest_for
from contest.changes import SubmissionReused
from contest.entries.arrivals import check_in
from contest.models import Card, Contest, Contestant, JudgingClass, Reading
from contest.reading import NotPossible, judges, move_reading, readings_of_card, set_aside
from contest.submissions import submitted
from contest.watch import deciding
from contest.watch.doubt_views import back_to_doubts, in_words, overtaken, show_doubts
from contest.watch.doubts import card_text, said_of, seen
from contest.watch.forms import AbsentForm, DecideForm, ReasonedForm, StrayForm
from contest.watch.pages import page

STATES = {"once": "read once", "settled": "settled", "doubt": "doubtful"}


@require_safe
def card(request, pk, class_number, number):
    contest = contest_for(request, pk)
    return _show(request, contest, *_found(contest, class_number, number), number)


@require_POST
def decide(request, pk, class_number, number):
    """Say what a card counts as."""
    contest = contest_for(request, pk)
    judged = get_object_or_404(contest.classes, number=class_number)
    contestant = get_object_or_404(contest.contestants, number=number)
    readings = readings_of_card(judged, contestant)
    values = list(readings.order_by("pk").values_list("placing", flat=True))
    form = DecideForm(request.POST, key=_key(judged, number), values=values)
    if not form.is_valid():
        return _again(request, contest, form, judged, contestant, number)
    given = form.cleaned_data

    def work():
        deciding.decide_seen_card(
            judged, contestant, given["counts"], request.who, form.because, given["on_card"], given["seen"]
        )

    try:
        submitted(request, work)
    except deciding.Overtaken:
        return overtaken(request, contest, form, said_of(readings, lambda reading: card_text(reading.placing)))
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("counts", in_words(problem))
        return _again(request, contest, form, judged, contestant, number)
    return _onward(contest, given, judged, number)


@require_POST
def put_right(request, pk, reading):
    """Give a stray reading to the card that it is of, or set it aside."""
    contest = contest_for(request, pk)
    rows = Reading.objects.select_related("judging_class__contest", "contestant", "helper")
    stray = get_object_or_404(rows, pk=reading, judging_class__contest=contest)
    judged, number = stray.judging_class, stray.number
    form = StrayForm(request.POST, key=f"reading-{stray.pk}")
    if not form.is_valid():
        return _again(request, contest, form, judged, stray.contestant, number)
    if stray.withdrawn_at:
        form.add_error(None, f"{stray.withdrawn_by} has dealt with this reading meanwhile. Nothing was changed.")
        return _show(request, contest, judged, stray.contestant, number, bound=form, status=409)
    given = form.cleaned_data
    if given["act"] == "move":
        to_class = contest.classes.filter(number=given["class_number"]).first()
        if to_class is None:
            form.add_error("class_number", f"there is no class {given['class_number']}")
            return _again(request, contest, form, judged, stray.contestant, number)
        number, there = given["number"], to_class

        def work():
            move_reading(stray, number, request.who, form.because, to_class)
    else:
        there = judged

        def work():
            set_aside(stray, request.who, form.because)

    try:
        submitted(request, work)
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("number" if given["act"] == "move" else None, in_words(problem))
        return _again(request, contest, form, judged, stray.contestant, stray.number)
    return _onward(contest, given, there, number)


@require_POST
def absent(request, pk, number):
    """Somebody who is marked absent has cards: they are here after all, or the cards stay as they are."""
    contest = contest_for(request, pk)
    contestant = get_object_or_404(contest.contestants, number=number)
    form = AbsentForm(request.POST, key=f"absent-{number}")
    if not form.is_valid():
        return show_doubts(request, contest, status=422)
    if form.cleaned_data["act"] == "present":

        def work():
            if not contestant.present:  # or they were checked in meanwhile, and all is well
                check_in(contestant, request.who)
    else:

        def work():
            deciding.leave_absent(contestant, request.who, form.because)

    try:
        submitted(request, work)
    except (NotPossible, SubmissionReused):  # dealt with meanwhile: the list shows how things stand
        return show_doubts(request, contest, status=409)
    return back_to_doubts(contest, form.cleaned_data["next"])


def _found(contest: Contest, class_number: int, number: int) -> tuple[JudgingClass, Contestant | None]:
    judged = get_object_or_404(contest.classes, number=class_number)
    return judged, contest.contestants.filter(number=number).select_related("division").first()


def _key(judged: JudgingClass, number: int) -> str:
    return f"card-{judged.number}-{number}"


def _again(request, contest, form: ReasonedForm, judged, contestant, number):
    """The page that the form stands on, with what was typed and what is wrong with it."""
    if form.data.get("back") == "doubts":
        key = form.auto_id.removesuffix("-%s")
        return show_doubts(request, contest, at=key, bound=form, status=422)
    return _show(request, contest, judged, contestant, number, bound=form, status=422)


def _onward(contest: Contest, given: dict, judged: JudgingClass, number: int):
    if given["back"] == "doubts":
        return back_to_doubts(contest, given["next"])
    return redirect("card", contest.pk, judged.number, number)


def _show(request, contest, judged, contestant, number, bound: ReasonedForm | None = None, status: int = 200):
    of_number = Q(contestant=contestant) | Q(number=number) if contestant else Q(number=number)
    readings = list(judged.readings.filter(of_number).order_by("pk"))
    live = [reading for reading in readings if not reading.withdrawn_at]
    rows = []
    for reading in readings:
        form = StrayForm(
            key=f"reading-{reading.pk}",
            initial={"number": reading.number, "class_number": judged.number, "back": "card"},
        )
        if isinstance(bound, StrayForm) and bound.auto_id == form.auto_id:
            form = bound
        rows.append({"reading": reading, "text": card_text(reading.placing), "form": form, "open": form is bound})
    counts = Card.objects.filter(judging_class=judged, contestant=contestant).first() if contestant else None
    decide_form = None
    if contestant and judges(contestant, judged):
        own = [reading for reading in live if reading.contestant_id == contestant.pk]
        letters = {reading.pk: chr(ord("a") + place) for place, reading in enumerate(own[:26])}
        for row in rows:
            row["letter"] = letters.get(row["reading"].pk, "")
        values = [reading.placing for reading in own]
        initial = {"seen": seen(reading.pk for reading in own), "back": "card"}
        decide_form = DecideForm(key=_key(judged, number), values=values, initial=initial)
        if isinstance(bound, DecideForm):
            decide_form = bound
    return page(
        request,
        "card.html",
        contest,
        status,
        judged=judged,
        contestant=contestant,
        number=number,
        rows=rows,
        card=counts,
        card_text=card_text(counts.placing) if counts else "",
        state=STATES.get(counts.state) if counts else "",
        form=decide_form,
        bound=bound,
    )
