"""What whoever asks may see: nothing before it was announced, and then what was announced."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.utils.translation import get_language
from django.views.decorators.http import require_safe

from contest.access import open_to_all, open_to_the_public
from contest.changes.locks import MemoryLock
from contest.models import CardPicture, Contest
from contest.scanning.pictures import for_families, picture_answer
from contest.shortcuts import STARTED
from contest.web.requests import Request
from contest.web.revisions import is_poll, nothing_new, once_a_version, revision_of
from scoring.announced.held_back import holds_back_from_families
from scoring.announced.keys import ShownKey, shown_key
from scoring.announced.released import Released, released
from scoring.announced.today import is_draft
from scoring.core.record import JudgingClass, NegativeScores, Rules
from scoring.models import KeyRelease, TakeHomeLink
from scoring.results.downloads import CSV_ZIP, XLSX, csv_zip, file_name, workbook
from scoring.results.home import home_page, pictured
from scoring.results.links import link_of
from scoring.results.live import is_withdrawn, shown_to_all, site_of
from scoring.results.protests import told_of_protests
from scoring.results.public import class_page, frame, list_page
from scoring.results.telling import telling_of
from scoring.standings.asking import newer, view_of
from scoring.standings.long_lists import in_parts
from scoring.standings.rows import find_standing

_making_files = MemoryLock()
WAITING = "scoring/public/waiting.html"
FILES = {"zip": (CSV_ZIP, csv_zip), "xlsx": (XLSX, workbook)}


@open_to_all
@require_safe
def public_list(request: Request, pk: int, division: str | None = None, code: str | None = None) -> HttpResponse:
    """One list as it was announced; before that, only that there is nothing to see yet.

    A page that is open already asks whether there is anything newer.
    """
    if is_poll(request):
        return _anything_newer(request, pk)
    contest = get_object_or_404(Contest, pk=pk)
    announced = shown_to_all(contest)
    if announced is None:
        return waiting(request, contest)
    standing = find_standing(announced.result, division, code)
    if standing is None and division is not None:
        raise Http404("The contest has no such list.")

    def build() -> dict[str, Any]:
        page = in_parts(list_page(announced, site_of(contest, announced), standing, view_of(request)), request.GET)
        find = reverse("public-find", args=[contest.pk])
        return page | {"window": told_of_protests(contest), "version": version_of(contest), "address": find}

    return _answer(request, contest, "scoring/public/list.html", build)


@open_to_all
@require_safe
def public_class(request: Request, pk: int, number: int) -> HttpResponse:
    """A class's key: once it is shown for the critique, and with the results."""
    contest = get_object_or_404(Contest, pk=pk)
    announced = shown_to_all(contest)
    if announced:
        judged = next((j for j in announced.record.classes if j.number == number and j.official), None)
        if judged is None:
            raise Http404("That class has no key.")
        wanted = judged
        return _answer(
            request,
            contest,
            "scoring/public/class.html",
            lambda: class_page(wanted, announced.record.rules, site_of(contest, announced), announced),
        )
    row = contest.classes.select_related("contest", "category").filter(number=number).first()
    shown = row and shown_key(row)
    if not row:
        raise Http404("The contest has no class of that number.")
    if not shown:
        return waiting(request, contest)
    return _answer(request, contest, "scoring/public/class.html", lambda: _critique(contest, row, shown))


@open_to_all
@require_safe
def public_file(request: Request, pk: int, ending: str) -> HttpResponse:
    """The announced places and totals as files."""
    contest = get_object_or_404(Contest, pk=pk)
    announced = shown_to_all(contest)
    if ending not in FILES:
        raise Http404("There is no such file.")
    if announced is None:
        not_yet = waiting(request, contest)
        not_yet.status_code = 404  # a page: nothing to be kept as the file
        return not_yet
    content_type, make = FILES[ending]

    def build() -> bytes:
        return make(announced.record, announced.result, public=True)

    # Made once: whoever asks may ask often.
    made = once_a_version(f"public-{contest.pk}-{ending}", _tag(contest), build, _making_files)
    response = HttpResponse(made, content_type=content_type)
    response.headers["Content-Disposition"] = f'attachment; filename="{file_name(announced.record, ending)}"'
    response.headers["Cache-Control"] = "no-cache"
    return response


@open_to_the_public
@require_safe
def take_home(request: Request, token: str) -> HttpResponse:
    """A team's or a contestant's sheets, for whoever was given the link."""
    link = link_of(token)
    announced = link and (None if holds_back_from_families(link.contest) else released(link.contest))
    if not link:
        raise Http404("That link leads nowhere, or nowhere any more.")
    if not announced:
        return _as_a_secret(waiting(request, link.contest, is_known=True))
    page = pictured(link, _home_page(link, announced))
    return _as_a_secret(_answer(request, link.contest, "scoring/public/home.html", lambda: page))


@open_to_the_public
@require_safe
def take_home_card(request: Request, token: str, class_number: int, number: int) -> HttpResponse:
    """The picture of a card, for whoever was given the link of its contestant or team, if the contest allows it."""
    link = link_of(token)
    announced = link and (None if holds_back_from_families(link.contest) else released(link.contest))
    if not link or not announced or not any(sheet.number == number for sheet in _home_page(link, announced)["people"]):
        raise Http404("That link leads to no such card.")
    card = for_families(link.contest, [number]).get((class_number, number))
    image = CardPicture.objects.filter(card=card).values_list("image", flat=True).first() if card else None
    if image is None:
        raise Http404("There is no picture of that card, or it was deleted.")
    return _as_a_secret(picture_answer(bytes(image)))


def _home_page(link: TakeHomeLink, announced: Released) -> dict[str, Any]:
    site, window = site_of(link.contest, announced), told_of_protests(link.contest)
    page = home_page(link, announced, site, window, telling_of(link.contest, announced))
    if page is None:
        raise Http404("Whoever that is, they are not in what was announced.")
    return page


def waiting(request: Request, contest: Contest, is_known: bool = False) -> HttpResponse:
    """What whoever comes before the time is told. A draft has no name yet, unless they have it already."""
    return _answer(request, contest, WAITING, lambda: _waiting(contest, is_known or not is_draft(contest)))


def _as_a_secret(response: HttpResponse) -> HttpResponse:
    # The address itself is the secret: no search engine lists it, and no page that is opened from it learns it.
    response.headers["X-Robots-Tag"] = "noindex, nofollow"
    response.headers["Referrer-Policy"] = "no-referrer"
    return response


def _answer(request: Request, contest: Contest, template: str, build: Callable[[], dict[str, Any]]) -> HttpResponse:
    """A public page, unless the browser already has it: the same for everybody, and made once while nothing changes."""
    tag, here = _tag(contest), {"here": request.get_full_path()}
    response = get_conditional_response(request, etag=tag)
    if response is None:
        if request.GET:  # looked at in somebody's own way
            response = render(request, template, build() | here)
        else:
            page = once_a_version(f"public-{request.path}", tag, lambda: render_to_string(template, build() | here))
            response = HttpResponse(page)
    response.headers["ETag"] = tag
    response.headers["Cache-Control"] = "no-cache"
    return response


def version_of(contest: Contest) -> str:
    """Stands for what the public lists say: most changes of a contest leave it as it is."""
    announced, window = shown_to_all(contest), told_of_protests(contest)
    keys = KeyRelease.objects.filter(judging_class__contest=contest).values_list("pk", flat=True)
    release = announced and (announced.pk, len(announced.result.unsettled))
    said = (release, window, contest.show_people_as, () if announced else tuple(keys))
    return hashlib.sha256(repr(said).encode()).hexdigest()[:12]


def _anything_newer(request: Request, pk: int) -> HttpResponse:
    """For any number of open pages: one tiny query per half second, and the rest once a revision."""
    revision = revision_of(pk)
    if revision is None:
        raise Http404("There is no such contest.")
    version = once_a_version(
        f"public-version-{pk}", str(revision), lambda: version_of(get_object_or_404(Contest, pk=pk))
    )
    return nothing_new(request, version) or newer()


def _tag(contest: Contest) -> str:
    """Stands for what a public page shows: it changes with the contest, with the language, and when the time for
    protests is over."""
    window = told_of_protests(contest)
    over = "-over" if window and window.is_over else ""
    return f'"{STARTED}-{contest.pk}-{contest.revision}{over}-{get_language()}-public"'


def _waiting(contest: Contest, is_named: bool) -> dict[str, Any]:
    site = site_of(contest)
    shown = KeyRelease.objects.filter(judging_class__contest=contest, judging_class__void=False)
    classes = [
        {"number": number, "name": name, "address": site.class_address(number)}
        for number, name in shown.order_by("judging_class__position").values_list(
            "judging_class__number", "judging_class__name"
        )
    ]
    page = {"class_links": classes, "version": version_of(contest), "withdrawn": is_withdrawn(contest)}
    rules = _rules(contest) if is_named else Rules("Tanbark")
    return frame(rules, None, site) | page


def _critique(contest: Contest, row: Any, shown: ShownKey) -> dict[str, Any]:
    judged = JudgingClass(
        row.number, row.name, (), perfect=row.perfect, official=shown.key.official, cuts=shown.key.cuts, void=row.void
    )
    return class_page(judged, _rules(contest), site_of(contest), None, shown.at, shown.corrected)


def _rules(contest: Contest) -> Rules:
    negative: NegativeScores = "zero" if contest.negative_scores == Contest.NegativeScores.ZERO else "keep"
    return Rules(contest.name, contest.held_on, contest.place, negative_scores=negative)
