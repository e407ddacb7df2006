"""Reading cards by scanner: pages are brought, how far they are, and what is left to people."""

from __future__ import annotations

from functools import partial
from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest.access import contest_for, open_to
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible, WrongValue
from contest.models import CardPicture, Contest, Duty, Scan, ScannedCard
from contest.scanning import arriving, jobs, pages, working
from contest.scanning.folder import Uploaded
from contest.scanning.forms import MOST_FILES, CardForm, PagesForm, PieceForm, RulesForm, SendForm
from contest.scanning.pictures import picture_answer
from contest.scanning.rehearsing import last_rehearsal
from contest.scanning.rules import change_rules, rules_of
from contest.web.middleware import MEGABYTE, MOST_UPLOADED
from contest.web.requests import Request
from contest.web.revisions import is_poll, nothing_new
from contest.web.submissions import outcome_before, submitted
from scoring.core.explain import as_sentence

GONE = gettext_lazy("these pages were cancelled, or are somebody else’s: choose them once more")

NO_KEY = "00000000-0000-0000-0000-000000000000"  # holds the place of a delivery's in an address


@open_to(Duty.TABULATOR)
@never_cache
@require_safe
def scanning(request: Request, pk: int) -> HttpResponse:
    """Bring pages, and see how far they are; asked again by itself, 204 while nothing has changed."""
    contest = contest_for(request, pk)
    jobs.go_on()
    if is_poll(request):
        scans = pages.scans_shown(contest)
        asked = {"contest": contest, **scans}
        return nothing_new(request, scans["version"]) or render(request, "contest/scanning/_scans.html", asked)
    return _page(request, "scanning.html", contest, **_overview(request, contest))


@open_to(Duty.TABULATOR)
@require_POST
def bring(request: Request, pk: int) -> HttpResponse:
    """Take pages in. Those that were stopped go on where they stopped."""
    contest = contest_for(request, pk)
    form = PagesForm(request.POST, request.FILES)
    problem = ""
    if not rules_of(contest).on:
        problem = _("Cards are not read by scanner in this contest.")
    elif len(request.FILES.getlist("pages")) > MOST_FILES:
        problem = _("Bring at most {most} pictures at once.").format(most=MOST_FILES)
    elif not form.is_valid():
        problem = " ".join(map(str, form.non_field_errors()))
    if problem:
        return _page(request, "scanning.html", contest, 422, problem=problem, **_overview(request, contest))
    files = form.cleaned_data["pages"]
    try:
        if outcome_before(request) is None:
            scan = jobs.bring(contest, [*map(Uploaded, files)], files[0].name or "", request.who)
            submitted(request, lambda: scan.pk)
    except (NotPossible, SubmissionReused) as refused:
        return _page(
            request, "scanning.html", contest, 409, problem=as_sentence(refused), **_overview(request, contest)
        )
    except OSError as error:
        told = _("The data folder cannot be written to: {reason}. Mend that, then try again.")
        problem = told.format(reason=error.strerror)
        return _page(request, "scanning.html", contest, 507, problem=problem, **_overview(request, contest))
    return redirect(f"{reverse('scanning', args=[pk])}#scans")


@open_to(Duty.TABULATOR)
@require_POST
def send(request: Request, pk: int) -> HttpResponse:
    """Begin to send files in pieces, or go on with those that broke off: what is wanted next."""
    contest = contest_for(request, pk)
    form = SendForm(request.POST)
    if not rules_of(contest).on:
        return _refused(_("cards are not read by scanner in this contest"))
    if not form.is_valid():
        return _refused(_("the files that were chosen could not be told; load the page again"))
    try:
        return _wanted(arriving.begin(contest, request.who, form.cleaned_data["told"]))
    except NotPossible as problem:
        return _refused(problem)
    except OSError as error:
        return _not_written(error)


@open_to(Duty.TABULATOR)
@require_POST
def piece(request: Request, pk: int, key: UUID) -> HttpResponse:
    """Take the next piece in, as the request's own bytes."""
    delivery = arriving.find(contest_for(request, pk), request.who, key)
    form = PieceForm(request.GET)
    if delivery is None:
        return _refused(GONE, 404)
    if not form.is_valid() or request.content_type != "application/octet-stream":
        return _refused(_("it is nothing that a page of Tanbark’s sends"))
    length = int(request.META.get("CONTENT_LENGTH") or 0)
    try:
        delivery.take(form.cleaned_data["file"], form.cleaned_data["at"], length, request)
    except NotPossible as problem:
        return _refused(problem, wanted=_as_json(delivery.wanted))
    except FileNotFoundError:
        return _refused(GONE, 404)
    except OSError as error:
        return _not_written(error)
    return _wanted(delivery)


@open_to(Duty.TABULATOR)
@require_POST
def sent(request: Request, pk: int, key: UUID) -> HttpResponse:
    """Read files that are all here, and as they were where they were sent from: by their SHA-256."""
    contest = contest_for(request, pk)
    try:
        if outcome_before(request) is None:
            delivery = arriving.find(contest, request.who, key)
            if delivery is None:
                return _refused(GONE, 404)
            digests = arriving.proved(delivery, request.POST.get("digests", "").split())
            try:
                scan = jobs.bring(contest, delivery.files(), delivery.name, request.who, digests)
            except NotPossible:
                delivery.give_up()
                raise
            submitted(request, lambda: scan.pk)
            delivery.give_up()
    except (NotPossible, SubmissionReused) as problem:
        return _refused(problem)
    except OSError as error:
        return _not_written(error)
    return JsonResponse({"next": f"{reverse('scanning', args=[pk])}#scans"})


@open_to(Duty.TABULATOR)
@require_POST
def give_up(request: Request, pk: int, key: UUID) -> HttpResponse:
    """Let go of what is here of some files; nothing where they are all here, or were let go before."""
    if delivery := arriving.find(contest_for(request, pk), request.who, key):
        delivery.give_up()
    return redirect("scanning", pk)


def _wanted(delivery: arriving.Delivery) -> HttpResponse:
    told = {"here": delivery.here, "whole": delivery.whole, "wanted": _as_json(delivery.wanted)}
    return JsonResponse({"key": str(delivery.key), **told})


def _as_json(wanted: arriving.Piece | None) -> dict[str, int] | None:
    return wanted._asdict() if wanted else None


def _refused(problem: object, status: int = 409, **more: Any) -> HttpResponse:
    return JsonResponse({"problem": as_sentence(problem), **more}, status=status)


def _not_written(error: OSError) -> HttpResponse:
    told = _("the data folder cannot be written to: {reason}; mend that, then try again")
    return _refused(told.format(reason=error.strerror), 507)


@open_to(Duty.TABULATOR)
@require_POST
def cancel(request: Request, pk: int, scan: int) -> HttpResponse:
    """Stop reading pages; what was read of them stays."""
    stopped = _scan(request, pk, scan)
    submitted(request, lambda: jobs.cancel(stopped, request.who))
    return redirect("scanning", pk)


@open_to(Duty.TABULATOR)
@require_POST
def again(request: Request, pk: int, scan: int) -> HttpResponse:
    """Go on with pages that were stopped, at the page where they were or after it."""
    stopped = _scan(request, pk, scan)
    submitted(request, lambda: jobs.try_again(stopped, request.who, skip="skip" in request.POST))
    return redirect("scanning", pk)


@open_to(Duty.TABULATOR)
@never_cache
@require_safe
def cards(request: Request, pk: int, card: int | None = None) -> HttpResponse:
    """A card that a machine must not decide: its picture beside the keys."""
    contest = contest_for(request, pk)
    after = request.GET.get("after", "")
    skipped = int(after) if after.isascii() and after.isdecimal() and len(after) < 19 else None
    return _card_page(request, contest, card, skipped)


@open_to(Duty.TABULATOR)
@require_POST
def read(request: Request, pk: int, card: int) -> HttpResponse:
    """Read a card: nothing typed is what the machine thinks."""
    waiting = _card(request, pk, card)
    form = CardForm(request.POST)
    if not form.is_valid():
        return _card_page(request, waiting.scan.contest, card, form=form, status=422)
    try:
        submitted(request, lambda: working.read(waiting, form.typed(), request.who, request.helper).text)
    except WrongValue as wrong:
        form.add_error(wrong.field if wrong.field in form.fields else "number", as_sentence(wrong))
        return _card_page(request, waiting.scan.contest, card, form=form, status=422)
    except (NotPossible, SubmissionReused) as problem:
        return _card_page(request, waiting.scan.contest, card, status=409, problem=as_sentence(problem))
    return _onward(pk, card)


@open_to(Duty.TABULATOR)
@require_POST
def aside(request: Request, pk: int, card: int) -> HttpResponse:
    """Leave a card out, for one of the reasons that the page offers."""
    waiting = _card(request, pk, card)
    reason = request.POST.get("reason", "")
    if reason not in working.ASIDE_BECAUSE:
        told = _("Choose why the card is put aside.")
        return _card_page(request, waiting.scan.contest, card, status=422, problem=told)
    return _done(request, pk, card, partial(working.put_aside, waiting, request.who, reason))


@open_to(Duty.TABULATOR)
@require_POST
def back(request: Request, pk: int, card: int) -> HttpResponse:
    """Let a card wait again that was read or put aside."""
    return _done(request, pk, card, partial(working.bring_back, _card(request, pk, card), request.who), here=True)


@open_to(Duty.TABULATOR, Duty.REASONS)
@never_cache
@require_safe
def picture(request: Request, pk: int, card: int) -> HttpResponse:
    """The picture of a scanned card: for whoever enters scores, of those that are entered there alone."""
    pictures = CardPicture.objects.filter(card__scan__contest=contest_for(request, pk), card=card)
    if request.helper and request.helper.duty == Duty.REASONS:
        pictures = pictures.exclude(card__part=None)
    image = pictures.first()
    if image is None:
        raise Http404(_("There is no such picture, or it was deleted."))
    return picture_answer(bytes(image.image))


@open_to(Duty.TABULATOR)
@never_cache
@require_safe
def sample(request: Request, pk: int) -> HttpResponse:
    """Which cards a person reads too, where the scanner reads alone, and what that says of all."""
    contest = contest_for(request, pk)
    return _page(request, "sample.html", contest, **pages.sample_shown(contest))


@open_to(Duty.TABULATOR)
@never_cache
@require_safe
def rehearsal(request: Request, pk: int) -> HttpResponse:
    """How to find out the evening before whether everything works together, and what that showed."""
    contest = contest_for(request, pk)
    return _page(request, "rehearsal.html", contest, told=last_rehearsal(contest))


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def rules(request: Request, pk: int) -> HttpResponse:
    """How the contest reads cards by scanner."""
    contest = contest_for(request, pk)
    form = RulesForm(request.POST or None, initial=RulesForm.initial_of(rules_of(contest)))
    if request.method == "POST" and form.is_valid():
        submitted(request, lambda: change_rules(contest, request.who, **form.cleaned_data).pk)
        return redirect("scanning", pk)
    status = 422 if form.errors else 200
    return _page(request, "rules.html", contest, status, form=form, alone=contest.readings_per_card == 1)


def _done(request: Request, pk: int, card: int, work: Any, here: bool = False) -> HttpResponse:
    try:
        submitted(request, work)
    except (NotPossible, SubmissionReused) as problem:
        contest = contest_for(request, pk)
        return _card_page(request, contest, card, status=409, problem=as_sentence(problem))
    return redirect("scanning-card", pk, card) if here else _onward(pk, card)


def _onward(pk: int, card: int) -> HttpResponse:
    return redirect(f"{reverse('scanning-cards', args=[pk])}?did={card}")


def _scan(request: Request, pk: int, scan: int) -> Scan:
    return get_object_or_404(Scan.objects.select_related("contest"), contest=contest_for(request, pk), pk=scan)


def _card(request: Request, pk: int, card: int) -> ScannedCard:
    rows = ScannedCard.objects.select_related("scan__contest", "judging_class", "part__contest")
    return get_object_or_404(rows, scan__contest=contest_for(request, pk), pk=card)


def _overview(request: Request, contest: Contest) -> dict[str, Any]:
    limits = {"most_bytes": arriving.MOST_BYTES, "piece_bytes": arriving.PIECE, "no_key": NO_KEY}
    limits |= {"most_gigabytes": arriving.MOST_BYTES // (1024 * MEGABYTE), "most_without": MOST_UPLOADED // MEGABYTE}
    arrivals = pages.arriving_shown(contest, request.who)
    return {**pages.scans_shown(contest), **pages.sample_shown(contest), "arrivals": arrivals, **limits}


def _card_page(
    request: Request,
    contest: Contest,
    card: int | None,
    after: int | None = None,
    form: CardForm | None = None,
    status: int = 200,
    problem: str = "",
) -> HttpResponse:
    shown = pages.card_shown(contest, after, card) or {}
    if form and shown and shown["card"].pk != card:
        form = None  # somebody was quicker, and this is another card
    done = pages.done_shown(contest, request.GET.get("did", ""))
    more = {"form": form or CardForm(), "problem": problem, "done": done}
    return _page(request, "card.html", contest, status, **shown, **more)


def _page(request: Request, template: str, contest: Contest, status: int = 200, **shown: Any) -> HttpResponse:
    context = {"contest": contest, "rules": contest, "revision": contest.revision, **shown}
    response = render(request, f"contest/scanning/{template}", context, status=status)
    response.headers["Cache-Control"] = "no-store"
    return response
