"""How names are said: the notes that are entered before the ceremony, and mended during it."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render, resolve_url
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from contest.access import contest_for, open_to
from contest.changes.exceptions import NotPossible
from contest.models import Contest, Contestant, Duty, Team
from contest.web.bounds import part_of
from contest.web.requests import Request
from contest.web.submissions import submitted
from scoring.board.forms import SayForm
from scoring.board.pronunciation import SaidOtherwise, note_say_name
from scoring.core.people import whole_name

A_PART = 100
"""Names of each kind on a page."""

KINDS = ("contestants", "teams")


@open_to(Duty.ANNOUNCER)
@require_safe
def names(request: Request, pk: int) -> HttpResponse:
    """The teams and contestants of one division, each with the note on its name."""
    contest = contest_for(request, pk)
    divisions = list(contest.divisions.all())
    wanted = request.GET.get("division")
    division = next((d for d in divisions if d.code == wanted), divisions[0] if divisions else None)
    here = contest.contestants.filter(division=division, present=True).order_by("number")
    said = here.filter(show_name=True).select_related("team")
    number, at = request.GET.get("number", "").strip(), None
    if number.isascii() and number.isdecimal() and len(number) <= 9:
        at = said.filter(number__lt=int(number)).count()
    people = part_of(said, A_PART, request.GET, at)
    teams = part_of(division.teams.all() if division else [], A_PART, request.GET, name="teams-page")
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "divisions": divisions,
        "division": division,
        "teams": [_asked("teams", team) for team in teams.rows],
        "teams_part": teams,
        "people": [_asked("contestants", person) for person in people.rows],
        "people_part": people,
        "number_only": list(here.filter(show_name=False).values_list("number", flat=True)),
    }
    response = render(request, "scoring/board/names.html", context)
    response.headers["Cache-Control"] = "no-store"
    return response


@open_to(Duty.ANNOUNCER)
@require_http_methods(["GET", "HEAD", "POST"])
def name(request: Request, pk: int, kind: str, who: int) -> HttpResponse:
    """The note on one name, to fetch and to save."""
    contest = contest_for(request, pk)
    owner = _find(contest, kind, who)
    if request.method != "POST":
        return _answer(request, contest, kind, owner, None)
    form = SayForm(request.POST)
    if not form.is_valid():
        why = "; ".join(map(str, form.errors.get("say", [_("Not saved")])))
        return _answer(request, contest, kind, owner, form, why, 422)
    try:
        submitted(
            request,
            lambda: note_say_name(owner, form.cleaned_data["say"], form.cleaned_data["was"], request.who),
        )
    except SaidOtherwise as other:
        why = _("Not saved: {why}. Save again to replace it.").format(why=other)
        return _answer(request, contest, kind, owner, form, why, 409)
    except NotPossible as problem:
        return _answer(request, contest, kind, owner, form, _("Not saved: {why}.").format(why=problem), 422)
    if not request.htmx:
        at = f"&number={owner.number}" if isinstance(owner, Contestant) and _many(owner) else ""  # it is on that page
        return redirect(f"{resolve_url('announcer-names', pk)}?division={owner.division.code}{at}#{kind}-{owner.pk}")
    return _answer(request, contest, kind, owner, None, _("saved"))


def _many(person: Contestant) -> bool:
    return person.division.contestants.count() > A_PART


def _find(contest: Contest, kind: str, who: int) -> Contestant | Team:
    if kind == "teams":
        return get_object_or_404(Team.objects.select_related("division"), pk=who, division__contest=contest)
    if kind == "contestants":
        # A name that may not be said has no note, and no page that would show it.
        return get_object_or_404(contest.contestants.select_related("division"), pk=who, show_name=True)
    raise Http404("There is no such kind.")


def _asked(kind: str, who: Contestant | Team) -> dict[str, Any]:
    """What the form of one name shows; `pk` is text because it is part of names in the page."""
    person = who if isinstance(who, Contestant) else None
    return {
        "kind": kind,
        "pk": str(who.pk),
        "who": who,
        "name": who.name if isinstance(who, Team) else whole_name(who.first_name, who.last_name),
        "team": person.team if person else None,
        "say": who.say_name,
        "was": who.say_name,
    }


def _answer(
    request: Request,
    contest: Contest,
    kind: str,
    who: Contestant | Team,
    form: SayForm | None,
    said: str = "",
    status: int = 200,
) -> HttpResponse:
    """The form. After a save by script only what stands beside its input: what is typed there is left alone."""
    asked = _asked(kind, who) | {"focus": request.method != "POST"}
    if form is not None:
        asked["say"] = form.data.get("say", "")
    in_place = "_say_fate.html" if request.method == "POST" else "_say.html"
    template = in_place if request.htmx else "say.html"
    context = {"contest": contest, "rules": contest, "revision": contest.revision, "asked": asked, "said": said}
    response = render(request, f"scoring/board/{template}", context | {"wrong": status >= 400}, status=status)
    response.headers["Cache-Control"] = "no-store"
    return response
