"""The coach's pages about reasons: what the official noted on a class's pairs, and the sets that members give."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest.book.pair_notes import Note
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.models import Practice, PracticeClass, PracticeMember
from contest.pair_notes import fingerprint, forms_of, pairs_shown
from contest.practice.reasons_forms import ReasonsForm, ScoreForm, TermsForm
from contest.practice.running import pair_notes_of, write_pair_notes
from contest.practice.sets import let_speak, remove_score, score_as_coach, set_up_reasons
from contest.practice.showing import version_of
from contest.practice.showing_sets import sets_of_class
from contest.practice.terms import all_terms, write_terms
from contest.practice.views.coach import class_or_404, made_or_404, practice_or_404
from contest.web.requests import Request
from contest.web.revisions import nothing_new
from contest.web.submissions import submitted


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def pair_notes(request: Request, practice: int, number: int) -> HttpResponse:
    """Write what decided each pair of a class; it is shown to nobody before its step."""
    row = practice_or_404(practice)
    judged = class_or_404(row, number)
    notes = pair_notes_of(judged)
    forms = forms_of(notes, request.POST if request.method == "POST" else None)
    status, trouble = 200, ""
    if request.method == "POST":
        status = 422
        if all(form.is_valid() for form in forms):
            typed, was = [Note(**form.cleaned_data) for form in forms], request.POST.get("shown", "")
            try:
                submitted(request, lambda: write_pair_notes(judged, typed, was))
                return redirect(resolve_url("practice", practice) + "#now")
            except NotPossible as problem:
                status, trouble, notes = 409, str(problem), pair_notes_of(judged)
            except SubmissionReused as problem:
                trouble = str(problem)
    context = {
        "practice": row,
        "judged": judged,
        "pairs": list(zip(pairs_shown(notes, judged.official), forms, strict=True)),
        "fingerprint": fingerprint(notes),
        "trouble": trouble,
        "theirs": status == 409,
    }
    return render(request, "contest/practice/pair_notes.html", context, status=status)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def reasons(request: Request, practice: int, number: int) -> HttpResponse:
    """The sets that members give on a class, and how they are scored."""
    row = practice_or_404(practice)
    judged = class_or_404(row, number)
    begin = {name.removeprefix("weight_"): value for name, value in vars(row).items() if name.startswith("weight_")}
    begin |= {"minutes": row.reasons_minutes, "peers_score": row.peers_score}
    form = ReasonsForm(request.POST if request.method == "POST" else None, initial=begin)
    status = 200
    if request.method == "POST":
        status = 422
        try:
            if form.is_valid():
                minutes, peers_score = form.cleaned_data["minutes"], form.cleaned_data["peers_score"]
                submitted(request, lambda: set_up_reasons(row, minutes, form.weights, peers_score))
                return redirect("practice-reasons", practice, number)
        except (NotPossible, SubmissionReused) as problem:
            form.add_error(None, str(problem))
    context = {**_sets(row, judged), "form": form}
    return render(request, "contest/practice/reasons.html", context, status=status)


@never_cache
@require_safe
def reasons_live(request: Request, practice: int, number: int) -> HttpResponse:
    row = practice_or_404(practice)
    if unchanged := nothing_new(request, version_of(row)):
        return unchanged
    return render(request, "contest/practice/_sets_live.html", _sets(row, class_or_404(row, number)))


@require_POST
def speaks(request: Request, practice: int, number: int) -> HttpResponse:
    """Let a member give their set, or nobody any more."""
    row = practice_or_404(practice)
    judged = class_or_404(row, number)
    pk = request.POST.get("member", "")
    member = _member_or_404(row, int(pk)) if pk.isascii() and pk.isdigit() and len(pk) < 16 else None
    made_or_404(request, lambda: let_speak(judged, member))
    return redirect("practice-reasons", practice, number)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def score(request: Request, practice: int, number: int, member: int) -> HttpResponse:
    """What the coach makes of a member's set."""
    row = practice_or_404(practice)
    judged, whose = class_or_404(row, number), _member_or_404(row, member)
    shown = next(one for one in sets_of_class(judged) if one.member == whose)
    own = next((one.row for one in shown.scores if one.row.by_id is None), None)
    begin = {**dict(zip(ScoreForm().fields, own.marks, strict=False)), "comment": own.comment} if own else {}
    form = ScoreForm(request.POST if request.method == "POST" else None, initial=begin)
    status = 200
    if request.method == "POST":
        status = 422
        try:
            if form.is_valid():
                comment = form.cleaned_data["comment"]
                submitted(request, lambda: score_as_coach(judged, whose, form.marks, comment).pk)
                return redirect("practice-reasons", practice, number)
        except (NotPossible, SubmissionReused) as problem:
            form.add_error(None, str(problem))
    context = {"practice": row, "judged": judged, "one": shown, "form": form}
    return render(request, "contest/practice/score.html", context, status=status)


@require_POST
def score_out(request: Request, practice: int, number: int, score: int) -> HttpResponse:
    """Take a score out, with its comment."""
    judged = class_or_404(practice_or_404(practice), number)
    made_or_404(request, lambda: remove_score(judged, score))
    return redirect("practice-reasons", practice, number)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def terms(request: Request) -> HttpResponse:
    """The words that members see beside the outline of a set, and a form for those of one species."""
    lists = all_terms()
    asked = request.POST.get("list", "") if request.method == "POST" else request.GET.get("list", "")
    chosen = next((one for one in lists if str(one.pk or "general") == asked), None)
    begin = chosen._asdict() if chosen else {}
    form = TermsForm(request.POST if request.method == "POST" else None, initial=begin)
    status = 200
    if request.method == "POST":
        status = 422
        try:
            if form.is_valid():
                pk, typed = (chosen and chosen.pk) or 0, form.cleaned_data
                submitted(request, lambda: write_terms(pk, typed["species"], typed["words"]))
                return redirect("practice-terms")
        except (NotPossible, SubmissionReused) as problem:
            form.add_error(None, str(problem))
    context = {"lists": lists, "chosen": chosen, "asked": asked, "form": form}
    return render(request, "contest/practice/terms.html", context, status=status)


def _sets(row: Practice, judged: PracticeClass) -> dict[str, Any]:
    judged.practice = row
    sets = sets_of_class(judged)
    return {"practice": row, "judged": judged, "sets": sets, "version": version_of(row)}


def _member_or_404(row: Practice, pk: int) -> PracticeMember:
    found = row.members.filter(pk=pk).first()
    if found is None:
        raise Http404("The practice has no such member.")
    return found
