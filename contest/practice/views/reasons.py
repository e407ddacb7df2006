"""The coach's pages about reasons: what the official noted on a class's pairs."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from contest.book.pair_notes import Note
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.pair_notes import fingerprint, forms_of, pairs_shown
from contest.practice.running import pair_notes_of, write_pair_notes
from contest.practice.views.coach import class_or_404, practice_or_404
from contest.web.requests import Request
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
