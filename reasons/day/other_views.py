"""The waiting hall, the class notes, how fair it was, and the trainer's sheet."""

from __future__ import annotations

from django.http import Http404
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from contest.access import contest_for, open_to, open_to_all
from contest.changes import SubmissionReused
from contest.models import Contest, Duty, JudgingClass
from contest.reading import NotPossible
from contest.submissions import submitted
from contest.watch.revisions import is_poll, nothing_new
from reasons.day import fair, pages
from reasons.day.changing import write_notes
from reasons.day.forms import NotesForm
from reasons.models import ReasonsDay


@open_to_all
@never_cache
@require_safe
def hall(request, pk):
    """Who goes where now and next, for a screen in the hall: numbers only."""
    contest = contest_for(request, pk)
    if same := nothing_new(request, str(contest.revision)):
        return same
    shown = _shown(contest, rooms=pages.hall(contest), absent=pages.absent_in(contest))
    return render(request, f"reasons/day/{'_hall' if is_poll(request) else 'hall'}.html", shown)


@open_to(Duty.REASONS)
@never_cache
@require_safe
def notes(request, pk):
    """The classes to write notes on."""
    contest = contest_for(request, pk)
    _may_write_notes(request, contest)
    return render(request, "reasons/day/notes.html", _shown(contest, classes=pages.classes_shown(contest)))


@open_to(Duty.REASONS)
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def class_notes(request, pk, number):
    """What decided each pair of a class, from its official's phone."""
    contest = contest_for(request, pk)
    _may_write_notes(request, contest)
    shown = next((one for one in pages.classes_shown(contest) if one.number == number), None)
    if shown is None:
        raise Http404("No reasons are given on that class.")
    judged = JudgingClass.objects.get(contest=contest, number=number)
    data = request.POST if request.method == "POST" else None
    forms = [NotesForm(data, prefix=pair.name, initial=_written(pair.note)) for pair in shown.pairs]
    status = 200
    if data is not None and all(form.is_valid() for form in forms):
        try:
            submitted(request, lambda: write_notes(judged, [form.cleaned_data for form in forms], request.who))
            return redirect("reasons-notes", pk)
        except (NotPossible, SubmissionReused) as problem:
            forms[0].add_error(None, str(problem))
    if data is not None:
        status = 422
    pairs = list(zip(shown.pairs, forms, strict=True))
    return render(request, "reasons/day/class_notes.html", _shown(contest, judged=shown, pairs=pairs), status=status)


def _written(note) -> dict[str, str]:
    return {"decided_by": note.decided_by, "grants": note.grants, "faults": note.faults} if note else {}


def _may_write_notes(request, contest: Contest) -> None:
    """The notes give the placing away: helpers of the reasons rooms see them where every room may see it."""
    if request.helper and (not contest.rooms.exists() or contest.rooms.filter(shows_key=False).exists()):
        raise Http404("The officials of some rooms may not see the placings.")


@never_cache
@require_safe
def fairness(request, pk):
    contest = contest_for(request, pk)
    standardise = ReasonsDay.objects.filter(contest=contest, standardised=True).exists()
    return render(request, "reasons/day/fairness.html", _shown(contest, **fair.page(contest, standardise)))


@open_to(Duty.REASONS)
@never_cache
@require_safe
def trainer(request, pk):
    """Sheets to practise taking notes and building a set of reasons with; no placing is on them."""
    contest = contest_for(request, pk)
    classes = contest.classes.filter(class_divisions__gives_reasons=True).distinct()
    return render(request, "reasons/day/trainer.html", _shown(contest, classes=classes))


def _shown(contest: Contest, **shown):
    return {"contest": contest, "rules": contest, "revision": contest.revision, **shown}
