"""The photographs of a class: brought, turned and cropped, put in order, removed."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.models import PracticeClass
from contest.practice.bringing import putting_a_photograph
from contest.practice.forms import PictureForm, ShapeForm
from contest.practice.pictures import change_picture, move_picture, remove_picture, sides_of
from contest.practice.views.coach import class_or_404, made_or_404, practice_or_404
from contest.uploads.brought import NotNow, bring
from contest.uploads.pictures import shaped
from contest.uploads.readers import Refused
from contest.web.requests import Request
from contest.web.submissions import content_of, submission_of, submitted, was_made


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def pictures(request: Request, practice: int, number: int) -> HttpResponse:
    """The photographs of a class, and the form that brings another."""
    row = practice_or_404(practice)
    judged = class_or_404(row, number)
    is_sent = request.method == "POST"
    form = PictureForm(judged.animals, request.POST if is_sent else None, request.FILES if is_sent else None)
    status = 200
    if is_sent:
        status = 422
        try:
            if form.is_valid():
                return redirect(_take_in(request, judged, form.cleaned_data))
        except (NotNow, Refused, SubmissionReused) as problem:
            form.add_error("picture", str(problem))
    context = {"practice": row, "judged": judged, "form": form, "sides": sides_of(judged)}
    return render(request, "contest/practice/pictures.html", context, status=status)


def _take_in(request: Request, judged: PracticeClass, typed: dict[str, Any]) -> str:
    """Have a photograph written anew by a process of its own, and kept: the address to go on to. Raises NotNow, Refused
    and SubmissionReused."""
    done = resolve_url("practice-pictures", judged.practice_id, judged.number)
    key, content = submission_of(request), content_of(request)
    if was_made(key):
        submitted(request, lambda: None)
        return done
    purpose = putting_a_photograph(judged, typed["animal"], typed["view"], typed["says"])
    brought = bring(key, "photograph", typed["picture"], content, done, purpose)
    if brought.state == brought.State.FAILED:
        raise Refused(brought.said_trouble)
    return brought.get_absolute_url()


@require_POST
def remove_one(request: Request, practice: int, number: int, picture: int) -> HttpResponse:
    """Delete a photograph for good."""
    judged = class_or_404(practice_or_404(practice), number)
    made_or_404(request, lambda: remove_picture(judged, picture))
    return redirect("practice-pictures", practice, number)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def change_one(request: Request, practice: int, number: int, picture: int) -> HttpResponse:
    """Turn and crop a photograph, and say what it shows."""
    judged = class_or_404(practice_or_404(practice), number)
    is_sent = request.method == "POST"
    if is_sent and was_made(submission_of(request)):
        submitted(request, lambda: None)
        return redirect("practice-pictures", practice, number)
    one = judged.pictures.filter(pk=picture).first()
    if one is None:
        raise Http404("The class has no such picture.")
    form = ShapeForm(request.POST if is_sent else None, initial={"says": one.says})
    if is_sent and form.is_valid():
        says = form.cleaned_data["says"]
        try:
            image = shaped(bytes(one.image), form.shape)
            made = submitted(request, lambda: change_picture(judged, picture, image, says).pk)
            return redirect(resolve_url("practice-pictures", practice, number) + f"#picture-{made}")
        except (NotPossible, SubmissionReused, OSError) as problem:  # the last: a picture that is damaged
            form.add_error(None, str(problem))
    context = {"practice": judged.practice, "judged": judged, "form": form, "one": one}
    return render(request, "contest/practice/picture.html", context, status=422 if is_sent else 200)


@require_POST
def move_one(request: Request, practice: int, number: int, picture: int) -> HttpResponse:
    """Move a photograph a place up or down among those from its side."""
    judged = class_or_404(practice_or_404(practice), number)
    by = -1 if request.POST.get("to") == "up" else 1
    made_or_404(request, lambda: move_picture(judged, picture, by))
    return redirect(resolve_url("practice-pictures", practice, number) + f"#picture-{picture}")
