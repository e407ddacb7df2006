"""The doubts, oldest first, and what is decided about them."""

from __future__ import annotations

import hashlib
from urllib.parse import urlencode

from django.shortcuts import get_object_or_404, redirect, resolve_url
from django.views.decorators.http import require_POST, require_safe

from contest.access import contest_for
from contest.changes import SubmissionReused
from contest.models import Contest, Mark
from contest.reading import NotPossible
from contest.submissions import submitted
from contest.watch import deciding
from contest.watch.asides import ineligible_with_cards, settled_lately
from contest.watch.doubts import ABSENT, Doubt, Said, doubts_of, points_text, said_of, seen
from contest.watch.forms import AbsentForm, DecideForm, ReasonedForm, StrayForm
from contest.watch.pages import page
from contest.watch.revisions import nothing_new, once_a_version, revision_of
from reasons.models import ReasonsScore

REUSED = "This form was sent before with something else in it. Look again, then send it once more."


@require_safe
def doubts(request, pk):
    return show_doubts(request, contest_for(request, pk), at=request.GET.get("at", ""))


@require_safe
def news(request, pk):
    """Tells a page of doubts whether the list has changed since. The list itself holds what is being typed."""
    version = once_a_version(
        f"doubts-news-{pk}", str(revision_of(pk)), lambda: _fingerprint(doubts_of(contest_for(request, pk)))
    )
    if same := nothing_new(request, version):
        return same
    return page(request, "_doubts_news.html", contest_for(request, pk), version=version, changed=True)


def show_doubts(request, contest: Contest, at: str = "", bound: ReasonedForm | None = None, status: int = 200):
    """The list. The doubt called `at` has the focus, or the first; `bound` is what was typed about it and refused."""
    found = doubts_of(contest)
    keys = [doubt.key for doubt in found]
    focus = at if at in keys else keys[0] if keys else ""
    items = []
    for place, doubt in enumerate(found):
        following = keys[place + 1] if place + 1 < len(keys) else ""
        form = bound if bound is not None and doubt.key == at else form_of(doubt, back="doubts", next=following)
        items.append({"doubt": doubt, "form": form, "focus": doubt.key == focus})
    return page(
        request,
        "doubts.html",
        contest,
        status,
        items=items,
        lately=settled_lately(contest),
        ineligible=ineligible_with_cards(contest),
        version=_fingerprint(found),
    )


def form_of(doubt: Doubt, **initial) -> ReasonedForm:
    """The form for what can be done about a doubt."""
    if doubt.stray:
        initial |= {"number": doubt.number if doubt.known else "", "class_number": doubt.class_number}
        return StrayForm(key=doubt.key, initial=initial)
    if doubt.kind == ABSENT:
        return AbsentForm(key=doubt.key, initial=initial)
    initial |= {"seen": doubt.seen}
    values = [said.value for said in doubt.said]
    return DecideForm(key=doubt.key, values=values, points=doubt.about != "card", initial=initial)


def back_to_doubts(contest: Contest, at: str):
    return redirect(resolve_url("doubts", contest.pk) + (f"?{urlencode({'at': at})}" if at else ""))


@require_POST
def decide_reasons(request, pk, score):
    contest = contest_for(request, pk)
    scores = ReasonsScore.objects.select_related("judging_class__contest", "contestant", "official")
    found = get_object_or_404(scores, pk=score, judging_class__contest=contest)
    readings = deciding.readings_of_reasons(found)
    return _decide_score(request, contest, f"reasons-{score}", found, readings, deciding.decide_seen_reasons)


@require_POST
def decide_mark(request, pk, score):
    contest = contest_for(request, pk)
    marks = Mark.objects.select_related("part__contest", "contestant", "team")
    found = get_object_or_404(marks, pk=score, part__contest=contest)
    return _decide_score(
        request, contest, f"mark-{score}", found, deciding.readings_of_mark(found), deciding.decide_seen_mark
    )


def _decide_score(request, contest, key, score, readings, decide):
    values = list(readings.order_by("pk").values_list("hundredths", flat=True))
    form = DecideForm(request.POST, key=key, values=values, points=True)
    if not form.is_valid():
        return show_doubts(request, contest, at=key, bound=form, status=422)
    given = form.cleaned_data
    try:
        submitted(request, lambda: decide(score, given["counts"], request.who, form.because, given["seen"]))
    except deciding.Overtaken:
        said = said_of(readings, lambda reading: points_text(reading.hundredths))
        return overtaken(request, contest, form, said)
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("counts", in_words(problem))
        return show_doubts(request, contest, at=key, bound=form, status=422)
    return back_to_doubts(contest, given["next"])


def overtaken(request, contest: Contest, form: DecideForm, said: list[Said]):
    """Theirs beside yours, as 409: nothing was changed, and what was typed can be sent again or let go."""
    form.data = form.data.copy()
    if pick := form.data.pop("pick", [""])[0]:
        form.data["counts"] = pick
    # Whoever sends it again has seen all there is by now.
    form.data["seen"] = seen(one.pk for one in said)
    return page(request, "overtaken.html", contest, 409, form=form, said=said, action=request.path)


def in_words(problem: Exception) -> str:
    return REUSED if isinstance(problem, SubmissionReused) else str(problem)


def _fingerprint(found: list[Doubt]) -> str:
    text = " ".join(f"{doubt.key}:{doubt.seen}" for doubt in found)
    return hashlib.sha256(text.encode()).hexdigest()[:16]
