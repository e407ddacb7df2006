"""The class notes, how fair it was, and the trainer's sheet."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from contest import outbox
from contest.access import contest_for, open_to
from contest.book.pair_notes import Note
from contest.changes import SubmissionReused
from contest.models import Contest, Duty, JudgingClass
from contest.pair_notes import NotesForm, forms_of
from contest.web.requests import Request
from contest.web.revisions import once_a_version
from contest.web.submissions import submitted
from reasons.day import comparison
from reasons.day.class_notes import Elsewhere, write_notes
from reasons.day.pages import ClassShown, classes_shown

ROOM = "reasons-notes"


@open_to(Duty.OFFICIAL)
@never_cache
@require_safe
def notes(request: Request, pk: int) -> HttpResponse:
    """The classes to write notes on."""
    contest = contest_for(request, pk)
    classes = [_shown_to(request, shown) for shown in classes_shown(contest)]
    shown = _shown(contest, classes=classes, outbox=outbox.outbox_of(request, contest, ROOM))
    return render(request, "reasons/day/notes.html", shown)


@open_to(Duty.OFFICIAL)
@never_cache
@require_safe
def hello(request: Request, pk: int) -> HttpResponse:
    return outbox.hello(request, outbox.shelf_of(request, contest_for(request, pk), ROOM))


@open_to(Duty.OFFICIAL)
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@outbox.sent_by_outbox
def class_notes(request: Request, pk: int, number: int) -> HttpResponse:
    """What decided each pair of a class, from its official's phone."""
    contest = contest_for(request, pk)
    shown = _class_shown(request, contest, number)
    data = request.POST if request.method == "POST" else None
    if shown.is_others and data is None:
        raise Http404("Another official writes on that class.")
    forms = _forms(shown, data)
    status, trouble = 200, ""
    if data is not None:
        status = 422
        if beyond := _beyond(shown, data):
            status, trouble = 409, _("the class has no such pair any more: {notes}").format(notes="; ".join(beyond))
        elif all(form.is_valid() for form in forms):
            judged, typed = JudgingClass.objects.get(pk=shown.pk), [Note(**form.cleaned_data) for form in forms]
            was, is_boss = data.get("shown", ""), request.is_superintendent
            try:
                submitted(request, lambda: write_notes(judged, typed, request.who, was, is_boss))
                return redirect("reasons-notes", pk)
            except Elsewhere as problem:
                status, trouble, shown = 409, str(problem), _class_shown(request, contest, number)
                forms = _forms(shown, data)
            except SubmissionReused as problem:
                trouble = str(problem)
    pairs = list(zip(shown.pairs, forms, strict=True))
    theirs = status == 409 and not shown.is_others
    context = _shown(contest, judged=shown, pairs=pairs, theirs=theirs, trouble=trouble)
    context["outbox"] = outbox.outbox_of(request, contest, ROOM)
    return outbox.because(render(request, "reasons/day/class_notes.html", context, status=status), trouble)


def _forms(shown: ClassShown, data: QueryDict | None) -> list[NotesForm]:
    return forms_of([pair.note for pair in shown.pairs], data)


def _beyond(shown: ClassShown, data: QueryDict) -> list[str]:
    """What was typed on pairs of animals that the class has no more: another page would lose it."""
    known = {field.html_name for form in _forms(shown, None) for field in form}
    asked = tuple(f"-{name}" for name in NotesForm.base_fields)
    return [str(typed) for name, typed in data.items() if name.endswith(asked) and name not in known and typed]


def _class_shown(request: Request, contest: Contest, number: int) -> ClassShown:
    for shown in classes_shown(contest):
        if shown.number == number:
            return _shown_to(request, shown)
    raise Http404("No reasons are given on that class.")


def _shown_to(request: Request, shown: ClassShown) -> ClassShown:
    return shown if request.is_superintendent else shown.to_official(request.who)


@never_cache
@require_safe
def fairness(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    made = once_a_version(f"fairness-{pk}", str(contest.revision), lambda: comparison.page(contest))
    return render(request, "reasons/day/fairness.html", _shown(contest, **made))


@open_to(Duty.REASONS)
@never_cache
@require_safe
def trainer(request: Request, pk: int) -> HttpResponse:
    """Sheets to practise taking notes and building a set of reasons with; no placing is on them."""
    contest = contest_for(request, pk)
    classes = contest.classes.filter(class_divisions__gives_reasons=True, void=False).distinct()
    return render(request, "reasons/day/trainer.html", _shown(contest, classes=classes))


def _shown(contest: Contest, **shown: Any) -> dict[str, Any]:
    return {"contest": contest, "rules": contest, "revision": contest.revision, **shown}
