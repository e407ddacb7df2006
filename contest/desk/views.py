"""The tabulation room and its desks."""

from __future__ import annotations

from collections import Counter
from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from contest import outbox
from contest.access import contest_by_key, contest_for, open_to
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.changes.snapshot import one_snapshot
from contest.desk import answers, pages, whole_stacks
from contest.desk.forms import CardForm, StackForm
from contest.desk.help import help_for_cards
from contest.desk.practice import practice_shown
from contest.desk.stacks import (
    find_loose,
    find_stack,
    give_back,
    has_claim,
    next_stack,
    stacks_of,
    take_stack,
)
from contest.models import Contest, Duty, JudgingClass
from contest.slips.cards import CardStack
from contest.slips.known_cards import read_card
from contest.slips.reading import Outcome
from contest.slips.stack import numbers_asked
from contest.slips.whole_stacks import Run
from contest.web.requests import Request
from contest.web.revisions import is_poll, nothing_new
from contest.web.submissions import submitted
from scoring.core.placing import ANIMALS
from scoring.core.record import NO_CARD, UNREADABLE

PRACTICE_PLACINGS = {901: "3124", 902: "1432", 903: "4213"}
"""What is written on the invented cards, of the first animals; two more cannot be read and were not handed in."""


@open_to(Duty.TABULATOR)
@never_cache
@require_GET
def room(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    if reply := nothing_new(request, str(contest.revision)):
        return reply
    if is_poll(request):
        return render(request, "contest/desk/_room_news.html", _room(request, contest))
    return _show_room(request, contest)


@open_to(Duty.TABULATOR)
@require_POST
def take(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    text = request.POST.get("stack", "")
    stacks = stacks_of(contest, request.who)
    if of_class := find_loose(stacks, text):
        return redirect("desk-loose", pk, of_class.number)
    try:
        stack = find_stack(stacks, text)
        if stack.others and request.POST.get("alone"):
            # It was offered as free, and somebody was quicker: two at one pile would be in each other's way.
            told = _("{name} has just taken {stack}.").format(name=stack.others[0].name, stack=stack.label)
            return _show_room(request, contest, told, status=409)
        if helper := request.helper:
            submitted(request, lambda: take_stack(helper, stack.judging_class, stack.group).pk)
    except (NotPossible, SubmissionReused) as problem:
        return _show_room(request, contest, str(problem), text, status=422)
    address = reverse("desk-stack", args=[pk, stack.judging_class.number], query={"group": stack.group})
    return redirect(address)


@open_to(Duty.TABULATOR)
@require_POST
def put_back(request: Request, pk: int) -> HttpResponse:
    contest_for(request, pk)
    if helper := request.helper:
        submitted(request, lambda: give_back(helper))
    return redirect("desk", pk)


@open_to(Duty.TABULATOR)
@never_cache
@require_GET
def stack(request: Request, pk: int, number: int) -> HttpResponse:
    contest = contest_for(request, pk)
    judging_class, group = _class_of(contest, number), request.GET.get("group", "")
    if request.helper and not has_claim(request.helper, judging_class, group):
        return redirect("desk", pk)
    others = [
        claim.helper.name
        for claim in judging_class.claims.filter(
            group=group, given_back_at__isnull=True, helper__left_at__isnull=True
        ).select_related("helper")
        if claim.helper != request.helper
    ]
    return _show_desk(request, CardStack(judging_class, group=group), others=others)


@open_to(Duty.TABULATOR)
@never_cache
@require_GET
def loose(request: Request, pk: int, number: int) -> HttpResponse:
    contest = contest_for(request, pk)
    once_more = numbers_asked(request.GET.get("again", ""))
    return _show_desk(request, CardStack(_class_of(contest, number), once_more=once_more), loose=True)


@open_to(Duty.TABULATOR)
@never_cache
@require_GET
def practice(request: Request, pk: int) -> HttpResponse:
    """Five invented cards to begin with, which count for nobody."""
    contest = contest_for(request, pk)
    animals = _usual_animals(contest)
    helped = help_for_cards(contest.readings_per_card > 1, animals)
    placed = {number: _with_animals(placing, animals) for number, placing in PRACTICE_PLACINGS.items()}
    says, own = placed | {904: UNREADABLE, 905: NO_CARD}, {"classNumber": 0, "animals": animals}
    shown = practice_shown(request, contest, "desk", says, _("Practice"), helped, **own)
    papers = placed | {904: f"{animals[1] * 2} {animals[2]}", 905: ""}
    shown |= {"settings": "contest/desk/_cards_settings.html", "papers": papers}
    return render(request, "contest/desk/practice.html", shown)


@open_to(Duty.TABULATOR)
@never_cache
@require_GET
def expected(request: Request, pk: int, number: int) -> HttpResponse:
    """What a desk is told at the end of a stack: the numbers left to its reader, and the stack to take next."""
    contest = contest_for(request, pk)
    if same := nothing_new(request, str(contest.revision)):
        return same
    judged = _class_of(contest, number)
    if once_more := numbers_asked(request.GET.get("again", "")):
        named = CardStack(judged, once_more=once_more)
        left = [card.of for card in named.left(named.slips(request.who))]
        return JsonResponse({"numbers": left, "next": None, "version": str(contest.revision)})
    here = CardStack(judged, group=request.GET.get("group", ""))
    with one_snapshot():
        numbers = [card.of for card in here.left(here.slips(request.who))]
        following = next_stack(stacks_of(contest, request.who), besides=here)
    told = following and {
        "stack": following.typed,
        "label": following.label,
        "again": following.again,
        "shared": bool(following.others),
    }
    return JsonResponse({"numbers": numbers, "next": told, "version": str(contest.revision)})


@open_to(Duty.TABULATOR)
@never_cache
@require_GET
def looks(request: Request, pk: int, number: int) -> HttpResponse:
    """Whether the stack that the reader has been through looks as though it lay upside down or were another class's."""
    judged = _class_of(contest_for(request, pk), number)
    run = Run(judged, request.GET.get("group", ""), request.who)
    looks = whole_stacks.looks_mixed_up(run)
    return JsonResponse({"mixed_up": str(looks) if looks else ""})


@open_to(Duty.TABULATOR)
@require_POST
def take_all_back(request: Request, pk: int, number: int) -> HttpResponse:
    judged = _class_of(contest_for(request, pk), number)
    form = StackForm(answers.sent(request))
    return answers.answer(
        request, form, lambda sent: whole_stacks.take_all_back(Run(judged, sent["group"], request.who), sent)
    )


@open_to(Duty.TABULATOR)
@require_POST
def bring_all_back(request: Request, pk: int, number: int) -> HttpResponse:
    judged = _class_of(contest_for(request, pk), number)
    form = StackForm(answers.sent(request))
    return answers.answer(request, form, lambda sent: whole_stacks.bring_back(judged, request.who, sent))


@open_to(Duty.TABULATOR)
@never_cache
@require_GET
def hello(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    return outbox.hello(request, outbox.shelf_of(request, contest, "desk"))


@open_to(Duty.TABULATOR)
@require_POST
def readings(request: Request, pk: int) -> HttpResponse:
    # A helper was let in to this contest (see `access.may_use`); the rest of it is not needed to add to it.
    contest = contest_by_key(pk) if request.helper else contest_for(request, pk)

    def work(sent: dict[str, Any]) -> Outcome:
        card = sent["class_number"], sent["number"], sent["placing"]
        return read_card(contest, *card, request.who, sent["submission"], request.helper)

    return answers.answer(request, CardForm(answers.sent(request)), work)


@open_to(Duty.TABULATOR)
@require_POST
def take_back(request: Request, pk: int, reading: UUID) -> HttpResponse:
    return answers.take_back(request, contest_for(request, pk), "desk", reading)


def _show_room(
    request: Request, contest: Contest, problem: str = "", text: str = "", status: int = 200
) -> HttpResponse:
    context = {
        **_room(request, contest),
        "queue": pages.queue_page(request, contest, "desk"),
        "problem": problem,
        "text": text,
    }
    return render(request, "contest/desk/room.html", context, status=status)


def _room(request: Request, contest: Contest) -> dict[str, Any]:
    stacks = stacks_of(contest, request.who)
    mine = next((stack for stack in stacks if stack.is_mine), None)
    suggested = next_stack(stacks, besides=mine)
    return {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "stacks": stacks,
        "grouped": any(stack.group for stack in stacks),
        "mine": mine,
        "suggested": suggested,
        "suggested_text": suggested and suggested.typed,
        "left": sum(stack.unread + stack.once for stack in stacks),
    }


def _show_desk(request: Request, stack: CardStack, **shown: Any) -> HttpResponse:
    shown |= {"label": capfirst(stack.label), "settings": "contest/desk/_cards_settings.html"}
    context = pages.stack_shown(request, stack) | shown
    if stack.group is not None:
        whole = ("looks", stack.group), ("take-back", None), ("bring-back", None)
        context["page"]["group"] = stack.group
        context["whole"] = "contest/desk/_cards_all_back.html"
        context["page"]["addresses"] |= {
            f"whole-{name}": stack.place.address(stack.contest, f"-{name}", group) for name, group in whole
        }
    return render(request, "contest/desk/cards.html", context)


def _usual_animals(contest: Contest) -> str:
    """The labels that most classes with cards have."""
    labels = Counter(contest.classes.filter(places=True).values_list("animals", flat=True))
    return labels.most_common(1)[0][0] if labels else ANIMALS


def _with_animals(placing: str, animals: str) -> str:
    """A placing of the first four animals as one of all that a class has; the rest come last."""
    first = (animals[int(digit) - 1] for digit in placing if int(digit) <= len(animals))
    return "".join(first) + animals[len(placing) :]


def _class_of(contest: Contest, number: int) -> JudgingClass:
    try:
        return contest.classes.get(number=number, places=True)
    except JudgingClass.DoesNotExist:
        raise Http404("The contest has no cards of that class.") from None
