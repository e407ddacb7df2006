"""The pages of the trail, and the trail as a file. All of it is the superintendent's alone."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from typing import Any

from django.db.models import Count
from django.http import Http404, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.utils.timezone import localtime
from django.utils.translation import get_language, ngettext, override
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from contest.access import contest_for, owners_alone, runs_the_machine
from contest.book.text import as_text
from contest.models import Contest, RowChange, SiteTrail
from contest.trail.differences import rows_of
from contest.trail.entries import HEADLINE, EntryWithNames, headlines, named_entries
from contest.trail.hashing import short
from contest.trail.noting import note_fetched, sum_up_refusals
from contest.trail.search import LookForm, entries_of, narrowed
from contest.trail.sentences import sentence
from contest.web.bounds import part_of
from contest.web.requests import Request
from scoring.core.texts import ngettext_noop

SIZE = 50
ROWS = 100
CHUNK = 500
KINDS = {
    "insert": ngettext_noop("{count} row of {table} added", "{count} rows of {table} added"),
    "update": ngettext_noop("{count} row of {table} changed", "{count} rows of {table} changed"),
    "delete": ngettext_noop("{count} row of {table} removed", "{count} rows of {table} removed"),
}
"""What became of the rows of a table, by what the database did."""


@never_cache
@require_safe
def trail(request: Request, pk: int) -> HttpResponse:
    """All that was done in a contest."""
    return _list(request, contest_for(request, pk))


@owners_alone
@never_cache
@require_safe
def site_trail(request: Request) -> HttpResponse:
    """What was done that is no contest's: signing in, accounts, fetching, deleting a contest."""
    return _list(request, None, _seen_by(request))


@never_cache
@require_safe
def trail_entry(request: Request, pk: int, revision: int) -> HttpResponse:
    """One entry, with what it changed."""
    return _entry(request, contest_for(request, pk), revision)


@owners_alone
@never_cache
@require_safe
def site_trail_entry(request: Request, revision: int) -> HttpResponse:
    return _entry(request, None, revision, _seen_by(request))


def _seen_by(request: Request) -> int | None:
    """The organisation of which owners see the site's chain; None for all of it, which who runs the machine sees."""
    membership = request.membership
    assert membership is not None  # the views are the owners'
    return None if runs_the_machine(membership) else membership.organisation_id


@never_cache
@require_safe
def trail_file(request: Request, pk: int) -> StreamingHttpResponse:
    """A contest's own chain as a table, each entry with its hash."""
    contest = contest_for(request, pk)
    note_fetched(request, sentence("trail_fetched"), contest)
    response = StreamingHttpResponse(_lines(contest), content_type="text/csv; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="trail-{contest.pk}.csv"'
    return response


def _list(request: Request, contest: Contest | None, organisation: int | None = None) -> HttpResponse:
    sum_up_refusals()
    form = LookForm(contest, request.GET, organisation)
    rows = entries_of(contest, organisation)
    if form.is_valid():
        rows = narrowed(contest, rows, form.cleaned_data)
    part = part_of(rows.values_list(*HEADLINE), SIZE, request.GET)
    # Of a chain that others share, what an organisation sees proves nothing, and its length would tell of them.
    ends = None if organisation else contest or SiteTrail.objects.first()
    return _page(
        request,
        "trail.html",
        contest,
        form=form,
        part=part,
        entries=headlines(part.rows),
        head=short(ends.trail_head) if ends else "",
        ends_at=ends.revision if ends else 0,
    )


def _entry(request: Request, contest: Contest | None, revision: int, organisation: int | None = None) -> HttpResponse:
    row = entries_of(contest, organisation).filter(contest=contest, revision=revision).first()
    if row is None:
        raise Http404("There is no such entry in the trail.")
    (entry,) = named_entries([row])
    kept = RowChange.objects.filter(contest=contest, revision=revision) if contest else RowChange.objects.none()
    counts = kept.values_list("of_table", "kind").annotate(count=Count("pk")).order_by("of_table", "kind")
    return _page(
        request,
        "entry.html",
        contest,
        entry=entry,
        part=part_of(rows_of(entry.before, entry.after), ROWS, request.GET),
        tables=[
            ngettext(*KINDS[kind], count).format(count=count, table=table.partition("_")[2])
            for table, kind, count in counts
        ],
        sharing=[name.partition(":") for name in entry.about],
    )


def _page(request: Request, template: str, contest: Contest | None, **shown: Any) -> HttpResponse:
    context = {"contest": contest, "rules": contest, "revision": contest.revision if contest else None, **shown}
    context["frame"] = "contest/page.html" if contest else "base.html"
    return render(request, f"contest/trail/{template}", context)


class _Echo:
    """Gives back each line instead of writing it."""

    def write(self, line: str) -> str:
        return line


def _lines(contest: Contest) -> Iterator[str]:
    writer = csv.writer(_Echo())
    yield writer.writerow(["revision", "at", "by", "what", "was", "is", "about", "hash"])
    language = get_language()
    for start in range(0, contest.revision, CHUNK):
        with override(language):  # whoever sends it may have turned to another by now
            lines = list(
                map(_cells, named_entries(contest.trail.filter(revision__gt=start, revision__lte=start + CHUNK)))
            )
        yield from map(writer.writerow, lines)


def _cells(entry: EntryWithNames) -> list[str]:
    rows = rows_of(entry.before, entry.after)
    was = "; ".join(_named(row.what, row.old) for row in rows if row.old)
    now = "; ".join(_named(row.what, row.new) for row in rows if row.new)
    cells = [entry.revision, localtime(entry.at).isoformat(), entry.by, entry.what, was, now]
    return [as_text(str(cell)) for cell in (*cells, " ".join(entry.about), entry.hash)]


def _named(label: str, value: str) -> str:
    return f"{label}: {value}" if label else value
