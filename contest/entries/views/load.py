"""Loading an entry list: bring it, look at what it would do, correct how it is understood, confirm."""

from __future__ import annotations

import io
from collections import defaultdict
from collections.abc import Mapping, Sequence
from pathlib import PurePosixPath
from typing import Any
from uuid import UUID, uuid4
from zipfile import ZipFile

from django.core.exceptions import BadRequest
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.http import require_http_methods, require_safe

from contest.access import contest_for
from contest.book.entry_columns import DIVISION, FIELDS, called, shown
from contest.entries.assigning import NotAsSeen, digest
from contest.entries.bringing import LOOKING_AT_ENTRIES, source_of
from contest.entries.entry_list import load_entries, plan_ahead, plan_for
from contest.entries.forms import TableForm, column_choices
from contest.entries.matching import MOST_LINES_ABOVE
from contest.entries.new_teams import new_teams
from contest.entries.people import suggested_number
from contest.entries.plan import PlannedRow, Verdict
from contest.entries.replies import AS_SHOWN, Trouble, attempt, done, show
from contest.entries.source import Chosen, Source, corrected, first_choice, meant
from contest.history.offering import offer
from contest.models import Contest, Team
from contest.uploads.brought import NotNow, bring, find
from contest.uploads.spreadsheets import Unreadable
from contest.web.requests import Request
from scoring.core.explain import as_sentence, listed
from scoring.core.points import in_thousands

A_PREVIEW = 200
"""The most rows, and new teams, of one outcome on a page that shows what loading a list would do."""


@require_http_methods(["GET", "HEAD", "POST"])
def load(request: Request, pk: int) -> HttpResponse:
    """Bring a list; sent, it shows what loading it would do."""
    contest = contest_for(request, pk)
    if request.method != "POST":
        return show_form(request, contest, TableForm())
    form = TableForm(request.POST, request.FILES)
    if not form.is_valid():
        return show_form(request, contest, form, 422)
    files = form.cleaned_data["file"]
    try:
        if files:
            return read_files(request, contest, files)
        return show_plan(request, contest, chosen_first(contest, Source.pasted(form.cleaned_data["text"])))
    except Unreadable as reason:
        return show_unreadable(request, contest, form, "file" if files else "text", reason)


def chosen_first(contest: Contest, source: Source) -> Chosen:
    return first_choice(source, divisions_of(contest), numbers_from=suggested_number(contest))


def read_files(request: Request, contest: Contest, files: Sequence[UploadedFile]) -> HttpResponse:
    """What the files would do, or the page that shows how far reading them is. Raises Unreadable."""
    kind, file = ("list", files[0]) if len(files) == 1 else ("lists", zipped(files))
    try:
        back = reverse("entries-load", args=[contest.pk])
        brought = bring(uuid4(), kind, file, None, back, LOOKING_AT_ENTRIES, contest)
    except NotNow as reason:
        raise Unreadable(str(reason)) from None
    if brought.state == brought.State.FAILED:
        raise Unreadable(brought.said_trouble)
    source = source_of(brought, contest)
    return show_plan(request, contest, chosen_first(contest, source)) if source else redirect(brought)


def zipped(files: Sequence[UploadedFile]) -> ContentFile[bytes]:
    """Several files as one, for one child to read; those of one name are told apart."""
    made, names = io.BytesIO(), set[str]()
    with ZipFile(made, "w") as archive:
        for file in files:
            whole = PurePosixPath((file.name or "").replace("\\", "/")).name or "list.csv"
            stem, dot, ending = whole.rpartition(".")
            name, again = whole, 1
            while name in names:
                again += 1
                name = f"{stem} {again}{dot}{ending}"
            names.add(name)
            archive.writestr(name, file.read())
    return ContentFile(made.getvalue(), ", ".join(sorted(names)))


@require_safe
def read(request: Request, pk: int, key: UUID) -> HttpResponse:
    """What a file would do that took longer to be read."""
    contest = contest_for(request, pk)
    source = source_of(find(key), contest)
    if source is None:
        return redirect("entries-load", pk=pk)  # long ago; nothing was saved
    try:
        chosen = chosen_first(contest, source)
    except Unreadable as reason:
        return show_unreadable(request, contest, TableForm({}), "file", reason)
    return show_plan(request, contest, chosen)


@require_http_methods(["GET", "HEAD", "POST"])
def preview(request: Request, pk: int) -> HttpResponse:
    """Correct how the list is understood and look again, or confirm what is shown."""
    contest = contest_for(request, pk)
    if request.method != "POST":
        return redirect("entries-load", pk=pk)
    try:
        chosen = corrected(Source.travelled(request.POST.get("source", "")), request.POST, divisions_of(contest))
    except Unreadable as reason:
        return show_unreadable(request, contest, TableForm({}), "file", reason)
    except (ValueError, KeyError, TypeError, AttributeError):
        raise BadRequest(_("The entry list was lost on the way. Bring it again.")) from None
    if "save" not in request.POST:
        return show_plan(request, contest, chosen)

    made = plan_ahead(contest, chosen.lines, chosen.layout)

    before = contest.revision

    def work() -> Any:
        shown = request.POST.get("shown", "")
        plan = load_entries(contest, chosen.lines, chosen.layout, request.who, shown, made)
        return {kind.value: plan.count(kind) for kind in Verdict}

    try:
        did = attempt(request, work)
        offer(request, contest, before)
        return done(request, said(did), "entries", pk=pk)
    except NotAsSeen:
        return show_plan(request, contest, chosen, 409, str(AS_SHOWN))
    except Trouble as trouble:
        return show_plan(request, contest, chosen, trouble.status, trouble.text)


def divisions_of(contest: Contest) -> list[tuple[str, str]]:
    return list(contest.divisions.values_list("code", "name"))


def said(counts: Mapping[str, int]) -> str:
    """What loading the list did, in words; how many rows came to what, by the value of the verdict."""
    added, changed, refused = (counts[kind.value] for kind in (Verdict.ADD, Verdict.CHANGE, Verdict.REFUSE))
    did = []
    if added:
        did.append(counted(ngettext("{count} added", "{count} added", added), added))
    if changed:
        did.append(counted(ngettext("{count} changed", "{count} changed", changed), changed))
    told = [_("The list is loaded: {what}.").format(what=listed(did)) if did else _("Nothing to load.")]
    if refused:
        told.append(counted(ngettext("{count} row left out.", "{count} rows left out.", refused), refused))
    return " ".join(told)


def counted(text: str, count: int) -> str:
    return text.format(count=in_thousands(count))


def show_form(request: Request, contest: Contest, form: TableForm, status: int = 200) -> HttpResponse:
    context = {"form": form, "has_divisions": contest.divisions.exists(), "known": list(FIELDS.values())}
    return show(request, "load.html", contest, context, status)


def show_unreadable(
    request: Request, contest: Contest, form: TableForm, field: str, reason: Unreadable
) -> HttpResponse:
    form.errors.clear()
    form.add_error(field, as_sentence(reason))
    return show_form(request, contest, form, 422)


def show_plan(request: Request, contest: Contest, chosen: Chosen, status: int = 200, trouble: str = "") -> HttpResponse:
    plan = plan_for(contest, chosen.lines, chosen.layout)
    layout, divisions = chosen.layout, divisions_of(contest)
    names = dict(divisions)
    asked = new_teams(plan, layout, teams_of(contest))
    by_kind = {kind: [row for row in plan.rows if row.kind == kind] for kind in Verdict}
    context = {
        "trouble": trouble,
        "source": chosen.source,
        "travelling": chosen.source.travelling(),
        "sheet": chosen.sheet,
        "headings": "" if layout.headings is None else layout.headings,
        "heading_lines": [
            (at, line.number, " | ".join(filter(None, line.cells))[:60])
            for at, line in enumerate(chosen.lines[:MOST_LINES_ABOVE])
        ],
        "columns": columns(chosen),
        "choices": column_choices(),
        "divisions": divisions,
        "meant": meant(chosen, divisions),
        "names_divisions": DIVISION in layout.columns,
        "division": layout.division,
        "give": layout.numbers_from is not None,
        "numbers_from": layout.numbers_from or suggested_number(contest),
        "without_number": any(row.lacks_number for row in by_kind[Verdict.REFUSE]),
        "shown": digest(plan),
        "counts": [(len(rows), COUNTED[kind]) for kind, rows in by_kind.items()],
        "refused": [(row, " | ".join(filter(None, row.cells))) for row in shown_of(by_kind[Verdict.REFUSE])],
        "changed": [(row, change_rows(row, names)) for row in shown_of(by_kind[Verdict.CHANGE])],
        "added": [(row, names[row.values.division]) for row in shown_of(by_kind[Verdict.ADD]) if row.values],
        "same": shown_of(by_kind[Verdict.SAME]),
        "not_shown": {kind.value: max(0, len(rows) - A_PREVIEW) for kind, rows in by_kind.items()},
        "new_teams": [(name, names.get(division, "")) for division, name in asked.teams[:A_PREVIEW]],
        "count_of_teams": len(asked.teams),
        "questions": [(question, names.get(question.division, "")) for question in asked.questions],
        "doing": doing(len(by_kind[Verdict.ADD]), len(by_kind[Verdict.CHANGE])),
    }
    return show(request, "preview.html", contest, context, status)


def shown_of(rows: Sequence[PlannedRow]) -> list[PlannedRow]:
    """As many rows as a page bears, those first of which there is something to say."""
    return sorted(rows, key=lambda row: not row.notes)[:A_PREVIEW]


def teams_of(contest: Contest) -> dict[str, list[str]]:
    teams: defaultdict[str, list[str]] = defaultdict(list)
    for division, name in Team.objects.filter(division__contest=contest).values_list("division__code", "name"):
        teams[division].append(name)
    return teams


def doing(add: int, change: int) -> str:
    """What the button does; empty where there is nothing to do."""
    if add and change:
        return _("Add {added} and change {changed}").format(added=in_thousands(add), changed=in_thousands(change))
    if add:
        return counted(_("Add {count}"), add)
    return counted(_("Change {count}"), change) if change else ""


COUNTED = {
    Verdict.ADD: gettext_lazy("to add"),
    Verdict.CHANGE: gettext_lazy("to change"),
    Verdict.SAME: gettext_lazy("left as they are"),
    Verdict.REFUSE: gettext_lazy("refused"),
}


def columns(chosen: Chosen) -> list[tuple[int, str, str, str]]:
    """Each column: its place, its heading, what it is taken for, and the first things that stand in it."""
    layout = chosen.layout
    start = 0 if layout.headings is None else layout.headings + 1
    headings: Sequence[str] = chosen.lines[layout.headings].cells if layout.headings is not None else ()
    return [
        (
            at,
            headings[at] if headings else "",
            field,
            ", ".join([line.cells[at] for line in chosen.lines[start:] if line.cells[at]][:3]),
        )
        for at, field in enumerate(layout.columns)
    ]


def change_rows(row: PlannedRow, divisions: dict[str, str]) -> list[tuple[str, str, str]]:
    """What a row changes, as people read it: what, from, to."""

    def words(field: str, value: str | int | bool) -> str:
        return divisions.get(str(value), str(value)) if field == DIVISION else shown(value)

    return [
        (called(change.field), words(change.field, change.old), words(change.field, change.new))
        for change in row.changes
    ]
