"""The ways in and out: joining with a code, signing in as the superintendent, and the page about all helpers."""

from collections import Counter
from typing import Any
from urllib.parse import urlsplit

from django.contrib.auth import authenticate, login, logout
from django.contrib.auth.models import User
from django.http import Http404, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect, render, resolve_url
from django.urls import Resolver404, resolve
from django.utils.http import url_has_allowed_host_and_scheme, urlencode
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest.access import (
    LONGEST_WAY_BACK,
    SESSION_NAME,
    contest_for,
    go_into,
    may_use,
    open_to,
    open_to_all,
    recognise,
)
from contest.helpers import pages
from contest.helpers.addresses import reach
from contest.helpers.codes import SHARED, practice_of, renew_code
from contest.helpers.duties import duty_name, first_page
from contest.helpers.forms import CodeForm, JoinForm, SignInForm, WayInForm
from contest.helpers.joining import NameTaken, leave, let_in, let_in_together, show_duty_out, show_out
from contest.helpers.one_time_codes import asks_for_code
from contest.helpers.second_step import code_trouble, wait_for_code, wait_no_longer, who_waits
from contest.helpers.single_sign_on import provider_name, way_there
from contest.helpers.throttling import (
    TOO_OFTEN,
    Busy,
    address_of,
    code_was_wrong,
    lane_for,
    remember_device,
    wrong_too_often,
)
from contest.models import Contest, Duty, EventCode, Helper, JoinCode
from contest.models.organisations import organisation_of
from contest.trail import note, sentence
from contest.trail.noting import refused_sign_ins, sum_up_refusals
from contest.web.requests import Request
from contest.web.submissions import submitted

WELCOME = "welcome"
"""What an address ends with where its page greets whoever has just joined."""

BUSY = gettext_lazy(
    "Others are signing in just now, and this was not looked at. Try again in a few seconds. "
    "The laptop that runs Tanbark can always sign in, and so can a device that did so before."
)
TAKEN = gettext_lazy(
    "Somebody called {name} helps here already. Add an initial, as in “{name} B.”. "
    "If that is you, on another device, leave there first, or ask the superintendent to show that one out: "
    "then join here under the same name."
)


@open_to_all
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def join(request: Request) -> HttpResponse:
    """Come in with a name and a code, and land on the first page of the code's duty."""
    if request.who:
        return render_join(request, None)
    if request.method != "POST":
        return render_join(request, JoinForm(initial={"code": request.GET.get("code", "")}))
    form = JoinForm(request.POST)
    if not form.is_valid():
        status = 422
        if practice := practice_of(form.data.get("code", "")):  # which asks for a first name or a number, and no more
            return redirect(resolve_url("practice-join") + f"?code={practice.code}")
        if "code" in form.errors and form.data.get("code") and code_was_wrong(request):
            form.add_error("code", TOO_OFTEN)
            status = 429
        return render_join(request, form, status)
    code, name = form.cleaned_data["code"], form.cleaned_data["name"]
    try:
        helper_id = submitted(request, lambda: let_in_by(code, name, request.POST.get("device", "")).pk)
    except NameTaken:
        form.add_error("name", TAKEN.format(name=name))
        return render_join(request, form, status=422)
    request.session.cycle_key()
    request.session[SESSION_NAME] = helper_id
    recognise(request)
    return HttpResponseRedirect(page_after_joining(request))


def let_in_by(code: JoinCode | EventCode, name: str, device: str) -> Helper:
    if isinstance(code, EventCode):
        return let_in_together(code.event.contests(), Duty(code.duty), name, device)
    return let_in(code.contest, Duty(code.duty), name, code.official, device, code.committee_official)


def page_after_joining(request: Request) -> str:
    """The page they wanted, if their duty reaches it; or else the first page of their duty, which greets them."""
    if not request.helper:
        return resolve_url("join")
    greets = f"{first_page(request.helper)}?{WELCOME}"
    wanted = wanted_page(request)
    try:
        leads_to = resolve(urlsplit(wanted).path)
    except Resolver404:
        return greets
    go_into(request, leads_to.kwargs)
    # The list of contests would only send them on to their first page.
    is_theirs = leads_to.url_name != "contests" and may_use(request, leads_to.func, leads_to.kwargs)
    return wanted if is_theirs else greets


def render_join(request: Request, form: WayInForm | None, status: int = 200) -> HttpResponse:
    was_out = not request.who and SESSION_NAME in request.session
    context = {
        "form": form and form.focus(),
        "next": wanted_page(request),
        "was_out": was_out,
        "first_page": own_first_page(request),
    }
    return render(request, "contest/join.html", context, status=status)


@open_to_all
@require_POST
def leave_contest(request: Request) -> HttpResponse:
    """Go out of a contest; the device knows nothing of it afterwards."""
    if request.helper:
        leave(request.helper)
    logout(request)
    return redirect("join")


@open_to_all
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: Request) -> HttpResponse:
    if request.is_superintendent:
        return HttpResponseRedirect(wanted_page(request) or resolve_url("contests"))
    if request.method != "POST":
        return render_sign_in(request, SignInForm())
    form = SignInForm(request.POST)
    if not form.is_valid():
        return render_sign_in(request, form, status=422)
    name = form.cleaned_data["name"]
    try:
        with lane_for(request, name).turn():
            user = authenticate(request, username=name, password=form.cleaned_data["password"])
    except Busy:
        refused_sign_ins.note(name, address_of(request))
        form.add_error("password", BUSY)
        return render_sign_in(request, form, status=503)
    if not isinstance(user, User):
        refused_sign_ins.note(name, address_of(request))
        form.add_error("password", _("The name and the password do not belong together."))
        if wrong_too_often(request, "password"):
            form.add_error("password", TOO_OFTEN)
            return render_sign_in(request, form, status=429)
        return render_sign_in(request, form, status=422)
    return go_on(request, user, wanted_page(request))


def go_on(request: Request, user: User, wanted: str) -> HttpResponse:
    """Sign in whoever gave the right password, or was vouched for, or ask for the code that their account wants."""
    if asks_for_code(user):
        wait_for_code(request, user)
        return redirect(with_way_back("sign_in_code", wanted))
    return come_in(request, user, wanted)


@open_to_all
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in_code(request: Request) -> HttpResponse:
    """The second step: a code, of whoever gave the right password on this device just now."""
    user = who_waits(request)
    if user is None:
        return redirect(with_way_back("sign_in", wanted_page(request)))
    if request.method != "POST":
        return render_sign_in(request, CodeForm(), "contest/sign_in_code.html")
    form = CodeForm(request.POST)
    status = 422
    if form.is_valid():
        status = code_trouble(request, user, form)
        if not status:
            return come_in(request, user, wanted_page(request))
    return render_sign_in(request, form, "contest/sign_in_code.html", status)


def come_in(request: Request, user: User, wanted: str) -> HttpResponse:
    """Sign somebody in who has shown who they are."""
    if request.helper:
        leave(request.helper)
    request.session.pop(SESSION_NAME, None)
    wait_no_longer(request)
    login(request, user)
    sum_up_refusals()
    note(user.get_username(), sentence("signed_in"), organisation=organisation_of(user.get_username()))
    response = HttpResponseRedirect(wanted or resolve_url("contests"))
    remember_device(response, user.get_username())
    return response


def render_sign_in(
    request: Request,
    form: WayInForm,
    template: str = "contest/sign_in.html",
    status: int = 200,
    trouble: str = "",
) -> HttpResponse:
    wanted = wanted_page(request)
    shown = {
        "form": form.focus(),
        "next": wanted,
        "provider": provider_name(),
        "elsewhere": way_there(wanted),
        "trouble": trouble,
    }
    return render(request, template, shown, status=status)


def with_way_back(name: str, page: str) -> str:
    """The address of a page on the way in, which still knows where they wanted to go."""
    return resolve_url(name) + (f"?{urlencode({'next': page})}" if page else "")


@open_to_all
@require_POST
def sign_out(request: Request) -> HttpResponse:
    if request.is_superintendent:
        note(request.who, sentence("signed_out"))
    logout(request)
    return redirect("sign_in")


@open_to(*Duty)
@require_safe
def lobby(request: Request, pk: int) -> HttpResponse:
    """Where a helper waits whose duty has nothing to do yet."""
    return render(request, "contest/helpers/lobby.html", {"contest": contest_for(request, pk)})


@require_safe
@never_cache
def helpers(request: Request, pk: int) -> HttpResponse:
    """The ways in, to show and to print, and who sits where."""
    contest = contest_for(request, pk)
    reached = reach(request, contest)
    base = reached.base
    context = {
        "contest": contest,
        "base": base,
        "join_address": base and base + resolve_url("join"),
        "reached": reached,
        "ways_in": pages.ways_in(contest, base),
        **seats_context(contest),
    }
    return render(request, "contest/helpers/helpers.html", context)


@require_safe
@never_cache
def seats(request: Request, pk: int) -> HttpResponse:
    """Who sits where, for the page that shows it to ask again; 204 while it is as it was."""
    contest = contest_for(request, pk)
    context = {"contest": contest, **seats_context(contest)}
    if request.GET.get("v") == context["version"]:
        return HttpResponse(status=204)
    return render(request, "contest/helpers/_seats.html", context)


def seats_context(contest: Contest) -> dict[str, Any]:
    shown = pages.seats(contest)
    present = Counter(seat.duty for seat in shown)
    duties = [{"value": duty.value, "name": duty_name(duty), "present": present[duty_name(duty)]} for duty in Duty]
    return {"seats": shown, "duties": [duty for duty in duties if duty["present"]], "version": pages.version(shown)}


@require_POST
def renew(request: Request, pk: int, duty: str) -> HttpResponse:
    """Give a duty a new code."""
    contest, chosen = contest_for(request, pk), duty_or_404(duty)
    if chosen not in SHARED:
        raise Http404("Each official has a code of their own.")
    submitted(request, lambda: renew_code(contest, chosen, request.who))
    return redirect(resolve_url("helpers", pk) + f"#{chosen.value}")


@require_POST
def out(request: Request, pk: int, helper: int) -> HttpResponse:
    """Show one helper out."""
    contest = contest_for(request, pk)
    row = get_object_or_404(Helper, pk=helper, contest=contest)
    submitted(request, lambda: show_out(row, request.who))
    return redirect(resolve_url("helpers", pk) + "#seats")


@require_POST
def duty_out(request: Request, pk: int, duty: str) -> HttpResponse:
    """Show all helpers of a duty out."""
    contest, chosen = contest_for(request, pk), duty_or_404(duty)
    submitted(request, lambda: show_duty_out(contest, chosen, request.who))
    return redirect(resolve_url("helpers", pk) + "#seats")


def duty_or_404(duty: str) -> Duty:
    if duty not in Duty.values:
        raise Http404("There is no such duty.")
    return Duty(duty)


def wanted_page(request: Request) -> str:
    """Where they wanted to go before they were asked who they are: the path of a page here, never another site's."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    is_path = wanted.startswith("/") and len(wanted) <= LONGEST_WAY_BACK
    return wanted if is_path and url_has_allowed_host_and_scheme(wanted, allowed_hosts=None) else ""


def own_first_page(request: Request) -> str:
    return first_page(request.helper) if request.helper else ""
