"""A new contest, empty or made of something there is already; and a contest taken away as a book."""

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, TypeVar
from uuid import UUID

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.text import slugify
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from contest.access import contest_for
from contest.bin.keeping import delete_contest, what_goes
from contest.book import Problem, read_book, write_book
from contest.changes import once
from contest.demo import DEMO_BOOK
from contest.models import Contest
from contest.records.day import load_record_with_day
from contest.records.saving import save_hidden, show_saved
from contest.records.sweeping import sweep
from contest.setup.bringing import making_a_contest
from contest.setup.contests import copy_contest, create_contest
from contest.setup.fields import TextField
from contest.setup.forms import DeleteForm, SetUpForm
from contest.setup.presets import PRESETS
from contest.setup.saving import SAVED, saved
from contest.trail import sentence
from contest.trail.noting import note_fetched
from contest.uploads.book_problems import keep_problems, shown_problems
from contest.uploads.brought import NotNow, bring
from contest.uploads.files import problems_of
from contest.web.form_fields import row_field
from contest.web.middleware import MEGABYTE, MOST_UPLOADED
from contest.web.requests import Request
from contest.web.submissions import content_of, outcome_before, submission_of, was_made
from scoring.core.record import Record

FormOfOneWay = TypeVar("FormOfOneWay", bound=SetUpForm)


class MakingForm(SetUpForm):
    """What makes a contest by itself, of what is typed."""

    def make(self, values: dict[str, Any], by: str) -> Contest:
        raise NotImplementedError


class EmptyForm(MakingForm):
    name = TextField(_("Name"))
    held_on = forms.DateField(label=_("Date"), required=False, widget=forms.DateInput(attrs={"type": "date"}))
    place = TextField(_("Place"), required=False)

    def make(self, values: dict[str, Any], by: str) -> Contest:
        return create_contest(by=by, **values)


class CopyForm(MakingForm):
    contest = forms.ModelChoiceField(Contest.every.none(), label=_("Earlier contest"), empty_label=None)
    name = TextField(_("Name of the new one"))
    held_on = forms.DateField(label=_("Date"), required=False, widget=forms.DateInput(attrs={"type": "date"}))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        row_field(self, "contest").queryset = Contest.objects.all()

    def make(self, values: dict[str, Any], by: str) -> Contest:
        return copy_contest(by=by, **values)


class BookForm(SetUpForm):
    book = forms.FileField(
        label=_("Contest book, a .zip"),
        widget=forms.FileInput(attrs={"accept": ".zip,application/zip", "data-most-bytes": MOST_UPLOADED}),
    )
    problems: tuple[Problem, ...] = ()

    def clean_book(self) -> UploadedFile:
        uploaded: UploadedFile = self.cleaned_data["book"]
        if (uploaded.size or 0) > MOST_UPLOADED:
            told = gettext("The file is larger than {most} MB, far more than a contest needs.")
            raise forms.ValidationError(told.format(most=MOST_UPLOADED // MEGABYTE))
        return uploaded


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def new_contest(request: Request) -> HttpResponse:
    """Make a contest in one of four ways, then go on to set it up."""
    way = request.POST.get("way")
    making: dict[str, MakingForm] = {
        "empty": form_for(request, EmptyForm, "empty"),
        "copy": form_for(request, CopyForm, "copy"),
    }
    book = form_for(request, BookForm, "book")
    if way == "demo":
        return redirect("setup", make_demo(request))
    if way == "book" and book.is_valid() and (address := bring_in(request, book)):
        return redirect(address)
    if form := making.get(way or ""):
        status, pk = saved(request, form, lambda values: form.make(values, request.who).pk)
        if status == SAVED:
            return redirect("setup", pk)
    context = {
        **making,
        "book": book,
        "way": way,
        "has_contests": Contest.objects.exists(),
        "presets": [(preset.code, gettext(preset.title)) for preset in PRESETS.values()],
        "problems": shown_problems(book.problems),
    }
    return render(request, "contest/setup/new.html", context, status=422 if request.method == "POST" else 200)


def form_for(request: Request, kind: type[FormOfOneWay], way: str) -> FormOfOneWay:
    """The form of one way, with what was typed where that is the way that was chosen."""
    if request.POST.get("way") != way:
        return kind(prefix=way)
    return kind(request.POST, request.FILES, prefix=way)


def bring_in(request: Request, form: BookForm) -> str | None:
    """Have the book read and saved: the address to go on to, or None where the form says what is wrong."""
    if made := outcome_before(request):
        return reverse("setup", args=[made])
    key, content, purpose = submission_of(request), content_of(request), making_a_contest(request.who)
    try:
        brought = bring(key, "book", form.cleaned_data["book"], content, reverse("new_contest"), purpose)
    except NotNow as reason:
        form.add_error("book", str(reason))
        return None
    if brought.state != brought.State.FAILED:
        return brought.get_absolute_url()
    form.add_error("book", brought.said_trouble)
    form.problems = problems_of(brought)
    keep_problems(request.user.pk, brought.name, form.problems)
    return None


def make_demo(request: Request) -> int:
    """The demo contest's key, of the first time where the form was sent twice."""
    made: int | None = outcome_before(request)
    if made is None:
        record = read_book(DEMO_BOOK)
        hidden = save_hidden(record, request.who)
        made = show_once(submission_of(request), content_of(request), hidden, record, request.who)
    return made


def show_once(key: UUID, content: Any, hidden: Contest, record: Record, by: str) -> int:
    """Let everybody see what was loaded, and return its key; sent twice at once, the first of the two stays."""
    shown = once(key, content, lambda: show_saved(hidden, record, by).pk)
    if shown != hidden.pk:
        sweep(hidden.pk)
    return shown


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def delete(request: Request, pk: int) -> HttpResponse:
    """Ask for the contest's name, then set it aside in the bin."""
    try:
        contest = contest_for(request, pk)
    except Http404:
        if request.method == "POST" and was_made(submission_of(request)):
            return redirect("contests")  # pressed twice: it is gone already
        raise
    form = DeleteForm(request.POST or None)
    status = 200
    if request.method == "POST":
        status, _outcome = saved(request, form, lambda values: delete_contest(contest, values["name"], request.who))
        if status == SAVED:
            return redirect("contests")
    helpers = contest.helpers.filter(left_at=None).count()
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "form": form,
        "goes": what_goes(contest),
        "helpers": helpers,
    }
    return render(request, "contest/setup/delete.html", context, status=status)


@never_cache
@require_safe
def book(request: Request, pk: int) -> HttpResponse:
    """The whole contest as a contest book."""
    contest = contest_for(request, pk)
    record = load_record_with_day(contest.pk)
    name = f"{slugify(contest.name)[:60].strip('-') or 'contest'}.zip"
    with TemporaryDirectory() as folder:
        path = Path(folder) / name
        write_book(record, path)
        response = HttpResponse(path.read_bytes(), content_type="application/zip")
    note_fetched(request, sentence("book_fetched"), contest)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
