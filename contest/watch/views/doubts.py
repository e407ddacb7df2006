"""The doubts, oldest first, and what is decided about them."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, resolve_url
from django.utils.translation import gettext, gettext_noop
from django.views.decorators.http import require_POST, require_safe

from contest.access import contest_for
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.entries.arrivals import check_in, never_came
from contest.models import Contest
from contest.scanning.pictures import pictures_of
from contest.slips.kinds import BY_NAME
from contest.slips.mixups import not_looked_at, open_findings
from contest.watch import deciding, undoing
from contest.watch.beside_doubts import ineligible_with_cards, settled_lately
from contest.watch.doubts import ABSENT, Doubt, Said, fingerprint
from contest.watch.filtering import Filter
from contest.watch.forms import AbsentForm, DecideForm, MixupForm, MoveForm, ReasonedForm
from contest.watch.interchanged import INTERCHANGED, interchanged
from contest.watch.papers import slip_of_doubt, where_they_lie, with_their_absence
from contest.watch.rendering import address_of, page
from contest.watch.runs import heaps
from contest.watch.undoing import stretch
from contest.watch.waiting import waiting
from contest.web.bounds import part_of
from contest.web.requests import Request
from contest.web.revisions import nothing_new, once_a_version, revision_of
from contest.web.submissions import submitted

MOST_SHOWN = 50
"""Doubts on a page, each with its form; the rest is counted, by kind and by group."""

OVERTAKEN = gettext_noop("somebody read or decided this meanwhile")
REUSED = gettext_noop("This form was sent before with something else in it. Look again, then send it once more.")


@require_safe
def doubts(request: Request, pk: int) -> HttpResponse:
    return show_doubts(request, contest_for(request, pk), at=request.GET.get("at", ""))


@require_safe
def news(request: Request, pk: int) -> HttpResponse:
    """Tells a page of doubts whether the list has changed since. The list itself holds what is being typed."""
    version = once_a_version(
        f"doubts-news-{pk}", str(revision_of(pk)), lambda: waiting(contest_for(request, pk)).fingerprint
    )
    if same := nothing_new(request, version):
        return same
    return page(request, "_doubts_news.html", contest_for(request, pk), version=version, changed=True)


def show_doubts(
    request: Request,
    contest: Contest,
    at: str = "",
    bound: ReasonedForm | None = None,
    status: int = 200,
    trouble: str = "",
) -> HttpResponse:
    """The oldest of those that are chosen, or the part with the doubt called `at`, which has the focus; `bound` is what
    was typed about it and refused, `trouble` why something was not done."""
    every = waiting(contest)
    asked = request.GET if request.method == "GET" else QueryDict(request.POST.get("among", ""), mutable=True)
    wanted = Filter.of(asked)
    chosen = wanted.chosen(every.doubts)
    keys = {doubt.key: place for place, doubt in enumerate(chosen)}
    part = part_of(chosen, MOST_SHOWN, _without_focus(asked), keys.get(at))
    lie, pairs = where_they_lie(contest, part.rows), interchanged(every.doubts)
    pictures = pictures_of(contest, (doubt.slip for doubt in part.rows))
    focus = at if at in keys else part.rows[0].key if part.rows else ""
    items, findings = [], open_findings(contest)
    for place, doubt in enumerate(with_their_absence(contest, part.rows), start=part.first):
        following = chosen[place].key if place < len(chosen) else ""
        back = {"back": "doubts", "next": following, "among": wanted.query}
        form = form_of(contest, doubt, **back)
        if doubt.key == at and isinstance(bound, type(form)):
            form = bound
        if doubt.key == focus and isinstance(form, MoveForm):
            form.focus()
        pair = pairs.get(doubt.key)
        items.append(
            {
                "doubt": doubt,
                "form": form,
                "focus": doubt.key == focus,
                "address": doubt.place.address(contest),
                "lies": lie.get(doubt.key, ""),
                "pictures": pictures.get(doubt.place),
                "pair": pair,
                "other": pair and pair.other(doubt),
                "back": back,
                "decide": address_of("decide", contest, doubt.place),
                "misread": address_of("misread", contest, doubt.place),
                "leave": AbsentForm(key=f"{doubt.key}-leave", initial=back) if doubt.kind == ABSENT else None,
            }
        )
    return page(
        request,
        "doubts.html",
        contest,
        status,
        items=items,
        part=part,
        count=len(every.doubts) + len(findings),
        any_doubts=bool(every.doubts),
        unlooked=not_looked_at(contest),
        filter=wanted,
        kinds=wanted.kinds(every.doubts),
        groups=wanted.groups(every.doubts),
        many=len(every.doubts) > MOST_SHOWN or bool(wanted.fields),
        lately=settled_lately(contest),
        ineligible=ineligible_with_cards(contest),
        never_came=never_came(contest),
        version=every.fingerprint,
        trouble=trouble,
        done=undoing.done_at(contest, request.GET.get("did", "")),
        undone="undone" in request.GET,
        undo_back="doubts",
        heaps=heaps(every.doubts),
        findings=[(finding, MixupForm(key=finding.anchor)) for finding in findings],
    )


def _without_focus(asked: QueryDict) -> QueryDict:
    asked = asked.copy()
    for name in ("at", "did", "undone"):
        asked.pop(name, None)
    return asked


def form_of(contest: Contest, doubt: Doubt, **initial: Any) -> ReasonedForm:
    """The form for what can be done about a doubt."""
    kind = BY_NAME[doubt.about]
    if doubt.stray:
        initial |= {"number": doubt.number if doubt.known else "", "class_number": doubt.class_number}
        return MoveForm(key=doubt.key, kind=kind, contest=contest, initial=initial)
    initial |= {"shown": doubt.fingerprint}
    if doubt.kind == ABSENT:
        return MoveForm(key=doubt.key, kind=kind, contest=contest, whose_alone=True, initial=initial)
    values = [said.value for said in doubt.said]
    return DecideForm(key=doubt.key, kind=doubt.slip, values=values, doubt=doubt.kind, initial=initial)


def back_to_doubts(contest: Contest, values: dict[str, Any], said: str) -> HttpResponse:
    """To the doubt that follows the one that was decided, among those that were shown; the page says what was done."""
    at = urlencode({"at": values["next"], "did": said} if values["next"] else {"did": said})
    query = "&".join(filter(None, (Filter.of(QueryDict(values["among"])).query, at)))
    return redirect(f"{resolve_url('doubts', contest.pk)}?{query}")


@require_POST
def absent(request: Request, pk: int, number: int) -> HttpResponse:
    """Somebody who is marked absent has cards or scores: they are here after all, or these stay as they are."""
    contest = contest_for(request, pk)
    contestant = get_object_or_404(contest.contestants, number=number)
    form = AbsentForm(request.POST, key=f"absent-{number}")
    if not form.is_valid():
        return show_doubts(request, contest, status=422)
    if form.cleaned_data["act"] == "present":

        def work() -> None:
            if not contestant.present:  # or they were checked in meanwhile, and all is well
                check_in(contestant, request.who)
    else:

        def work() -> None:
            deciding.leave_absent(contestant, request.who, form.because)

    try:
        said = submitted(request, lambda: stretch(contest, work))
    except (NotPossible, SubmissionReused) as problem:  # dealt with meanwhile: the list shows how things stand
        return show_doubts(request, contest, status=409, trouble=problem_text(problem))
    return back_to_doubts(contest, form.cleaned_data, said)


@require_POST
def mend(request: Request, pk: int) -> HttpResponse:
    """Two papers were interchanged: both count as one of the readers read them."""
    contest = contest_for(request, pk)
    pair = interchanged(waiting(contest).doubts).get(request.POST.get("pair", ""))
    way = next((way for way in pair.ways if way.letter == request.POST.get("as")), None) if pair else None
    if pair is None or way is None or pair.shown != request.POST.get("shown"):
        return show_doubts(request, contest, status=409, trouble=gettext(OVERTAKEN))
    seen = list(zip((pair.first, pair.second), way.values, strict=True))

    def work() -> None:
        for doubt, value in seen:
            slip = slip_of_doubt(doubt)
            deciding.decide_seen(slip, value, request.who, INTERCHANGED, shown=doubt.fingerprint)

    try:
        said = submitted(request, lambda: stretch(contest, work))
    except (NotPossible, SubmissionReused) as problem:
        return show_doubts(request, contest, status=409, trouble=problem_text(problem))
    values = {name: request.POST.get(name, "") for name in ("next", "among")}
    return back_to_doubts(contest, values, said)


@require_POST
def undo(request: Request, pk: int) -> HttpResponse:
    """Undo what was just decided; its doubts come back."""
    contest = contest_for(request, pk)
    said = request.POST.get("did", "")
    done = undoing.done_at(contest, said)
    try:
        submitted(request, lambda: undoing.undo(contest, said, request.who))
    except (NotPossible, SubmissionReused) as problem:
        return show_doubts(request, contest, status=409, trouble=problem_text(problem))
    place = done.place if done else None
    if place and request.POST.get("back") == "card":
        return redirect(place.address(contest))
    at = {"at": place.key, "undone": "1"} if place else {"undone": "1"}
    filtered = Filter.of(QueryDict(request.POST.get("among", ""))).query
    return redirect(f"{resolve_url('doubts', contest.pk)}?{'&'.join(filter(None, (filtered, urlencode(at))))}")


def overtaken(request: Request, contest: Contest, form: DecideForm, said: list[Said]) -> HttpResponse:
    """Theirs beside yours, as 409: nothing was changed, and what was typed can be sent again or let go."""
    typed = request.POST.copy()
    if pick := typed.pop("pick", [""])[0]:
        typed["counts"] = str(pick)
    # Whoever sends it again has seen all there is by now.
    typed["shown"] = fingerprint(reading.pk for reading in said)
    form.data = typed
    return page(request, "overtaken.html", contest, 409, form=form, said=said, action=request.path)


def problem_text(problem: Exception) -> str:
    return gettext(REUSED) if isinstance(problem, SubmissionReused) else str(problem)
