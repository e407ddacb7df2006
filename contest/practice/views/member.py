"""A member's own pages: joining, placing the class on a phone, and what it came to. Their session knows who they are,
so that no address names anybody."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import redirect, render, resolve_url
from django.urls import reverse
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe
from django_htmx.http import HttpResponseClientRedirect

from contest import outbox
from contest.access import open_to_all, open_to_the_public
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.helpers.codes import bare
from contest.helpers.joining import NameTaken
from contest.helpers.throttling import TOO_OFTEN, code_was_wrong
from contest.models import Practice, PracticeClass, PracticeMember, PracticePicture, PracticeSet
from contest.models.organisations import reaching
from contest.practice.forms import HandInForm, JoinPracticeForm
from contest.practice.joining import join_practice
from contest.practice.notes import ROWS, field_name
from contest.practice.outline import OF_PAIR, pair_headings
from contest.practice.pictures import sides_of
from contest.practice.reasons_forms import OutlineForm, ScoreForm
from contest.practice.running import hand_in
from contest.practice.sets import hand_in_outline, score_as_member
from contest.practice.showing import Step, class_shown, own_classes, version_of
from contest.practice.showing_sets import heard, own_set
from contest.practice.terms import all_terms
from contest.web.requests import Request
from contest.web.revisions import nothing_new
from contest.web.submissions import submitted
from scoring.core.practice import ASPECTS

SESSION_NAME = "practice-member"
GONE = gettext_lazy("What it was about is no longer there.")
TAKEN = gettext_lazy("Somebody is in under that name already. Add an initial, as in “{name} B.”, or take a number.")

MemberView = Callable[..., HttpResponse]


def of_a_member(view: MemberView) -> MemberView:
    """Hand the member whose device this is to a view; whoever is none is led to joining."""

    @wraps(view)
    def known(request: Request, *args: Any, **kwargs: Any) -> HttpResponse:
        with reaching(None):  # whoever leads others' practices may be a member of this one
            pk = request.session.get(SESSION_NAME)
            member = PracticeMember.objects.select_related("practice").filter(pk=pk).first() if pk else None
            if member is not None:
                return view(request, member, *args, **kwargs)
        if request.htmx:
            return HttpResponseClientRedirect(resolve_url("practice-join"))
        if "text/html" not in request.headers.get("Accept", "text/html"):
            return outbox.out()
        return redirect("practice-join")

    return known


@open_to_the_public
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def join(request: Request) -> HttpResponse:
    """Come in with the practice's code, and a first name or a number."""
    if request.method != "POST":
        gone = SESSION_NAME in request.session and _member_of(request) is None
        return _join_page(request, JoinPracticeForm(initial={"code": request.GET.get("code", "")}), gone=gone)
    form = JoinPracticeForm(request.POST)
    if not form.is_valid():
        status = 422
        if "code" in form.errors and form.data.get("code") and code_was_wrong(request):
            form.add_error("code", TOO_OFTEN)
            status = 429
        return _join_page(request, form, status)
    practice, name = form.cleaned_data["code"], form.cleaned_data["name"]
    try:
        pk = submitted(request, lambda: join_practice(practice, name, request.POST.get("device", "")).pk)
    except NameTaken:
        form.add_error("name", TAKEN.format(name=name))
        return _join_page(request, form, 422)
    except (NotPossible, SubmissionReused) as problem:
        form.add_error("code", str(problem))
        return _join_page(request, form, 409)
    request.session[SESSION_NAME] = pk
    return redirect("practice-mine")


@open_to_all
@require_POST
def leave(request: Request) -> HttpResponse:
    """Let this device forget who it was; what was handed in stays."""
    request.session.pop(SESSION_NAME, None)
    return redirect("practice-join")


@open_to_all
@never_cache
@require_safe
@of_a_member
def mine(request: Request, member: PracticeMember) -> HttpResponse:
    """The class that is on: placing it, taking notes, and what it came to."""
    return _page(request, member)


@open_to_all
@never_cache
@require_safe
@of_a_member
def mine_live(request: Request, member: PracticeMember) -> HttpResponse:
    """Where the practice is, for the member's page to ask again."""
    nothing = nothing_new(request, version_of(member.practice))
    return nothing or render(request, "contest/practice/_mine_live.html", _shown(member))


@open_to_all
@never_cache
@require_safe
@of_a_member
def hello(request: Request, member: PracticeMember) -> HttpResponse:
    return outbox.hello(request, _shelf(member))


@open_to_all
@require_safe
def picture(request: Request, picture: int) -> HttpResponse:
    """A photograph, for its coaches, and for the members of its practice once its class has begun."""
    row = PracticePicture.objects.select_related("judging_class").filter(pk=picture).first()
    member = _member_of(request) if SESSION_NAME in request.session else None
    if row and not _leads(request, row.judging_class):
        judged = row.judging_class
        if member is None or member.practice_id != judged.practice_id or judged.step == Step.JOINING:
            row = None
    if row is None:
        raise Http404("There is no such picture here.")
    # Written by our own reader as JPEG, and never anything that a browser would run; kept by it, as none ever changes.
    headers = {"Cache-Control": "private, max-age=86400", "X-Content-Type-Options": "nosniff"}
    return HttpResponse(bytes(row.image), content_type="image/jpeg", headers=headers)


def _leads(request: Request, judged: PracticeClass) -> bool:
    return request.is_superintendent and Practice.objects.filter(pk=judged.practice_id).exists()


@open_to_all
@never_cache
@require_POST
@of_a_member
def handed_in(request: Request, member: PracticeMember) -> HttpResponse:
    """Hand in a placing."""
    judged = member.practice.classes.filter(number=_number(request)).first()
    form = HandInForm(judged.animals if judged else "", request.POST)
    return _taken(
        request,
        member,
        form.trouble if judged else str(GONE),
        lambda: hand_in(member, form.cleaned_data["number"], form.cleaned_data["placing"], form.notes).pk,
    )


@open_to_all
@never_cache
@require_POST
@of_a_member
def outline(request: Request, member: PracticeMember) -> HttpResponse:
    """Hand in the outline of a set of reasons."""
    judged = member.practice.classes.filter(number=_number(request)).first()
    form = OutlineForm(judged.animals if judged else "", request.POST)
    return _taken(
        request,
        member,
        form.trouble if judged else str(GONE),
        lambda: hand_in_outline(member, form.cleaned_data["number"], form.cleaned_data["placing"], form.outline).pk,
    )


@open_to_all
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@of_a_member
def heard_set(request: Request, member: PracticeMember, set: int) -> HttpResponse:
    """Score the set of somebody else, whose name this page does not say."""
    row = PracticeSet.objects.select_related("judging_class").filter(pk=set).first()
    if row is None or row.judging_class.practice_id != member.practice_id or row.called_at is None:
        row = None
    if request.method == "POST":
        form = ScoreForm(request.POST)
        trouble = "" if form.is_valid() and row else _first_trouble(form) or str(GONE)

        def work() -> int:
            assert row is not None
            return score_as_member(row, member, form.marks, form.cleaned_data["comment"]).pk

        return _taken(request, member, trouble, work, lambda why: _heard_page(request, member, row, form, why, 422))
    if row is None or row.member_id == member.pk:
        return redirect("practice-mine")
    own = row.scores.filter(by=member).first()
    begin = {**dict(zip(ASPECTS, own.marks, strict=True)), "comment": own.comment} if own else {}
    return _heard_page(request, member, row, ScoreForm(initial=begin))


def _heard_page(
    request: Request,
    member: PracticeMember,
    row: PracticeSet | None,
    form: ScoreForm,
    trouble: str = "",
    status: int = 200,
) -> HttpResponse:
    if row is None:
        return redirect("practice-mine")
    context = {"member": member, "set": row, "judged": row.judging_class, "form": form, "trouble": trouble}
    return render(request, "contest/practice/heard.html", context | _outbox(member), status=status)


def _first_trouble(form: ScoreForm) -> str:
    """What is wrong first, with the name of its field."""
    return next((f"{form[name].label}: {errors[0]}" for name, errors in form.errors.items()), "")


def _taken(
    request: Request,
    member: PracticeMember,
    trouble: str,
    work: Callable[[], Any],
    page: Callable[[str], HttpResponse] | None = None,
) -> HttpResponse:
    """What a member handed in, by the form itself or by their device's outbox, which is told what became of it. Where
    there is `trouble`, or `work` finds any, nothing is saved."""
    by_outbox = "text/html" not in request.headers.get("Accept", "text/html")
    if by_outbox and request.POST.get("by", "").casefold() != member.name.casefold():
        return outbox.out()
    if not trouble:
        try:
            submitted(request, work)
            next_page = reverse("practice-mine")
            done = {"kind": "saved", "text": "", "next": next_page}
            return JsonResponse(done) if by_outbox else redirect(next_page)
        except (NotPossible, SubmissionReused) as problem:
            trouble = str(problem)
    if by_outbox:
        return outbox.refused(trouble)
    return page(trouble) if page else _page(request, member, trouble, 422)


def _number(request: Request) -> int:
    text = request.POST.get("number", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 4 else 0


def _member_of(request: Request) -> PracticeMember | None:
    return PracticeMember.objects.filter(pk=request.session[SESSION_NAME]).first()


def _join_page(request: Request, form: JoinPracticeForm, status: int = 200, gone: bool = False) -> HttpResponse:
    return render(request, "contest/practice/join.html", {"form": form.focus(), "gone": gone}, status=status)


def _page(request: Request, member: PracticeMember, trouble: str = "", status: int = 200) -> HttpResponse:
    shown = _shown(member)
    judged: PracticeClass = shown["judged"]
    typed = request.POST.get("placing", "") if trouble else shown["own"].row and shown["own"].placing
    context = {
        **shown,
        "trouble": trouble,
        "sides": sides_of(judged) if judged.step > Step.JOINING else [],
        "form": HandInForm(judged.animals, initial={"placing": typed or "", "number": judged.number}),
        "columns": [
            (label, [(animal, field_name(animal, row)) for animal in judged.animals]) for row, label in ROWS.items()
        ],
        "kept_as": f"{_shelf(member)}-{judged.number}",
        "headings": list(enumerate(pair_headings(judged.animals), start=1)),
        "parts_of_pair": list(OF_PAIR.items()),
        "terms": all_terms(),
        **_outbox(member),
    }
    return render(request, "contest/practice/mine.html", context, status=status)


def _outbox(member: PracticeMember) -> dict[str, Any]:
    addresses = {"hello": reverse("practice-hello")}
    return {"outbox": {"desk": _shelf(member), "who": member.name, "room": "practice", "addresses": addresses}}


def _shown(member: PracticeMember) -> dict[str, Any]:
    own, *before = own_classes(member)
    judged = own.judged
    # What the network held up still comes in; what the answer was known to has been learnt from, and not placed.
    may = judged.step == Step.PLACING or (own.row is None and Step.PLACING < judged.step < Step.OFFICIAL)
    return {
        "member": member,
        "practice": member.practice,
        "judged": judged,
        "own": own,
        "before": before,
        "may_hand_in": may,
        "own_set": own_set(judged, member),
        "heard": heard(judged, member),
        "shown": class_shown(judged),
        "step": Step,
        "version": version_of(member.practice),
    }


def _shelf(member: PracticeMember) -> str:
    """Under what a device keeps what this member has not sent yet, and their notes."""
    return f"practice-{bare(member.practice.code)}-{member.name.casefold()}"
