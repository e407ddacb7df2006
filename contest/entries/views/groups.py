"""Groups: who is in which, how they turn through the classes, dealing them anew, moving one."""

from __future__ import annotations

from collections import Counter

from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest.access import contest_for
from contest.entries.assigning import NotAsSeen, deal_groups, digest, everybody, groups_of, put_in_group
from contest.entries.entered import anything_read
from contest.entries.forms import GroupsForm, MoveGroupForm
from contest.entries.pages import groups_page, meetings
from contest.entries.replies import AS_SHOWN, Trouble, attempt, done, show
from contest.history.offering import offer
from contest.models import Contest
from contest.web.requests import Request
from scoring.core.points import in_thousands


@require_safe
def groups(request: Request, pk: int) -> HttpResponse:
    return show_groups(request, contest_for(request, pk))


@require_http_methods(["GET", "HEAD", "POST"])
def deal(request: Request, pk: int) -> HttpResponse:
    """Sent, it shows the groups as they would be dealt; sent with `save`, it deals them as shown."""
    contest = contest_for(request, pk)
    if request.method != "POST":
        return redirect("groups", pk=pk)
    form = GroupsForm(request.POST)
    if not form.is_valid():
        return show_groups(request, contest, 422, deal=form)
    count, keep = form.cleaned_data["count"], form.cleaned_data["keep"]
    if "save" not in request.POST:
        return show_deal(request, contest, form)
    before = contest.revision
    try:
        changed = attempt(
            request, lambda: deal_groups(contest, count, keep, request.who, request.POST.get("shown", ""))
        )
        offer(request, contest, before)
        text = ngettext("{count} contestant is in another group.", "{count} contestants are in another group.", changed)
        return done(request, text.format(count=in_thousands(changed)), "groups", pk=pk)
    except NotAsSeen:
        return show_deal(request, contest, form, str(AS_SHOWN), 409)
    except Trouble as trouble:
        return show_deal(request, contest, form, trouble.text, trouble.status)


@require_POST
def move(request: Request, pk: int) -> HttpResponse:
    """Put one contestant in another group."""
    contest = contest_for(request, pk)
    form = MoveGroupForm(request.POST)
    if not form.is_valid():
        return show_groups(request, contest, 422, move=form)
    number, group = form.cleaned_data["number"], form.cleaned_data["group"]
    contestant = contest.contestants.filter(number=number).first()
    if contestant is None:
        form.add_error("number", _("Nobody has number {number}.").format(number=number))
        return show_groups(request, contest, 422, move=form)

    try:
        attempt(request, lambda: put_in_group(contestant, group, request.who))
        return done(request, _("{number} is in group {group}.").format(number=number, group=group), "groups", pk=pk)
    except Trouble as trouble:
        form.trouble(trouble)
        return show_groups(request, contest, trouble.status, move=form)


def show_groups(request: Request, contest: Contest, status: int = 200, **forms: object) -> HttpResponse:
    page = groups_page(contest)
    count = len(page["letters"]) or GroupsForm.base_fields["count"].initial
    page |= {"deal": GroupsForm(initial={"count": count}), "move": MoveGroupForm()}
    return show(request, "groups.html", contest, page | forms, status)


def show_deal(
    request: Request, contest: Contest, form: GroupsForm, trouble: str = "", status: int = 200
) -> HttpResponse:
    people = everybody(contest)
    groups = groups_of(people, form.cleaned_data["count"], form.cleaned_data["keep"])
    before = {contestant.pk: contestant.group for contestant in people}
    for contestant in people:
        contestant.group = groups[contestant.pk]
    here = [contestant for contestant in people if contestant.present]
    context = {
        "form": form,
        "trouble": trouble,
        "sizes": sorted(Counter(contestant.group for contestant in here).items()),
        "rows": [(contestant, before[contestant.pk]) for contestant in here],
        "changing": sum(before[contestant.pk] != contestant.group for contestant in people),
        "meeting": meetings(here),
        "read": anything_read(contest),
        "shown": digest(groups),
    }
    return show(request, "deal.html", contest, context, status)
