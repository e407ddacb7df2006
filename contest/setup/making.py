"""A new contest, empty or made of something there is already; and a contest taken away as a book."""

from pathlib import Path
from tempfile import TemporaryDirectory

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.text import slugify
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from contest.access import contest_for
from contest.book import BookProblems, read_book, write_book
from contest.demo import DEMO_BOOK
from contest.middleware import MEGABYTE, MOST_UPLOADED
from contest.models import Contest
from contest.records import load_record, save_record
from contest.setup.book_problems import keep_problems, shown_problems
from contest.setup.contests import copy_contest, create_contest
from contest.setup.deleting import delete_contest, what_goes
from contest.setup.forms import SetUpForm, TextField
from contest.setup.saving import SAVED, saved
from contest.submissions import submission_of, was_made
from scoring.explain import counted


class EmptyForm(SetUpForm):
    name = TextField("Name")
    held_on = forms.DateField(label="Date", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    place = TextField("Place", required=False)

    def make(self, values, by):
        return create_contest(by=by, **values)


class CopyForm(SetUpForm):
    contest = forms.ModelChoiceField(Contest.objects.all(), label="Earlier contest", empty_label=None)
    name = TextField("Name of the new one")
    held_on = forms.DateField(label="Date", required=False, widget=forms.DateInput(attrs={"type": "date"}))

    def make(self, values, by):
        return copy_contest(by=by, **values)


class BookForm(SetUpForm):
    book = forms.FileField(
        label="Contest book, a .zip",
        widget=forms.FileInput(attrs={"accept": ".zip,application/zip", "data-most-bytes": MOST_UPLOADED}),
    )
    problems = ()

    def clean_book(self):
        """The record that the book holds; every problem of it is kept for the page."""
        uploaded = self.cleaned_data["book"]
        if uploaded.size > MOST_UPLOADED:
            raise forms.ValidationError(
                f"The file is larger than {MOST_UPLOADED // MEGABYTE} MB, far more than a contest needs."
            )
        with TemporaryDirectory() as folder:
            path = Path(folder) / uploaded.name  # only ever the last part of a path; Django sees to that
            with path.open("wb") as file:
                file.writelines(uploaded.chunks())
            try:
                return read_book(path)
            except BookProblems as found:
                self.problems = found.problems
                raise forms.ValidationError("Nothing was saved: the book has problems.") from None

    def make(self, values, by):
        return save_record(values["book"], by)


class DemoForm(SetUpForm):
    def make(self, values, by):
        return save_record(read_book(DEMO_BOOK), by)


class DeleteForm(SetUpForm):
    name = TextField("Type the name of the contest")


WAYS = {"empty": EmptyForm, "book": BookForm, "copy": CopyForm, "demo": DemoForm}


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def new_contest(request):
    """Make a contest in one of four ways, then go on to set it up."""
    forms_by_way = {way: form(prefix=way) for way, form in WAYS.items()}
    way, status = request.POST.get("way"), 200
    if request.method == "POST" and way in WAYS:
        form = forms_by_way[way] = WAYS[way](request.POST, request.FILES, prefix=way)
        status, pk = saved(request, form, lambda values: form.make(values, request.who).pk)
        if status == SAVED:
            return redirect("setup", pk)
        if problems := getattr(form, "problems", ()):
            keep_problems(request.user.pk, request.FILES["book-book"].name, problems)
    elif request.method == "POST":
        status = 422
    context = {
        **forms_by_way,
        "way": way,
        "has_contests": Contest.objects.exists(),
        "problems": shown_problems(forms_by_way["book"].problems),
    }
    return render(request, "contest/setup/new.html", context, status=status)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def delete(request, pk):
    """Ask for the contest's name, then delete it, after offering its book."""
    try:
        contest = contest_for(request, pk)
    except Http404:
        if request.method == "POST" and was_made(submission_of(request)):
            return redirect("contests")  # pressed twice: it is gone already
        raise
    form = DeleteForm(request.POST or None)
    status = 200
    if request.method == "POST":
        status, _ = saved(request, form, lambda values: delete_contest(contest, values["name"], request.who))
        if status == SAVED:
            return redirect("contests")
    helpers = contest.helpers.filter(left_at=None).count()
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "form": form,
        "goes": what_goes(contest),
        "helpers": helpers and counted(helpers, "helper"),
    }
    return render(request, "contest/setup/delete.html", context, status=status)


@never_cache
@require_safe
def book(request, pk):
    """The whole contest as a contest book."""
    contest = contest_for(request, pk)
    _revision, record = load_record(contest.pk)
    name = f"{slugify(contest.name)[:60].strip('-') or 'contest'}.zip"
    with TemporaryDirectory() as folder:
        path = Path(folder) / name
        write_book(record, path)
        response = HttpResponse(path.read_bytes(), content_type="application/zip")
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
