"""Who may see anything at all: whoever was given the join code.

The hall's network is open to everybody in the hall, and keys and cards are secret until they are released. So every
page asks for the code first, unless its view is marked `open_to_all`. The code lies in the data folder; a new one
shows everybody out, because a session is let in by the code it was let in with.
"""

import re
import secrets

from django import forms
from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.crypto import constant_time_compare, salted_hmac
from django.utils.http import url_has_allowed_host_and_scheme, urlencode
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods
from django_htmx.http import HttpResponseClientRedirect
from limits import parse
from limits.storage import MemoryStorage
from limits.strategies import MovingWindowRateLimiter

# No character that looks like another, in print or by hand.
ALPHABET = "ABCDEFGHJKMNPQRSTVWXYZ34679"
LENGTH = 8
SESSION_NAME = "joined"

# The code has 27 ** 8 values, so the limit is there to make guessing hopeless, not slow: it must not shut out a whole
# team behind one access point because one of them mistypes. Only wrong codes count.
WRONG_CODES = parse("20/minute")
limiter = MovingWindowRateLimiter(MemoryStorage())


def new_code() -> str:
    code = "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))
    return f"{code[:4]}-{code[4:]}"


def bare(code: str) -> str:
    """The code as it is compared: however it was typed, with or without the dash."""
    return re.sub(r"[\W_]", "", code).upper()


def present_code() -> str:
    """The code that lets people in now; empty, and nobody gets in, until `up` has made one."""
    try:
        return (settings.DATA_FOLDER / "join-code").read_text(encoding="ascii").strip()
    except FileNotFoundError:
        return ""


def token(code: str) -> str:
    return salted_hmac("contest.access", bare(code), algorithm="sha256").hexdigest()


def has_joined(request) -> bool:
    code = present_code()
    return bool(code) and constant_time_compare(request.session.get(SESSION_NAME, ""), token(code))


def open_to_all(view):
    """Mark a view that needs no join code. The outermost decorator, or the mark is not seen."""
    view.open_to_all = True
    return view


class JoinedOnly:
    """Sends whoever has not joined to the join page, whatever they asked for."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_view(self, request, view, args, kwargs):
        if getattr(view, "open_to_all", False) or has_joined(request):
            return None
        # Come back to the page; a reply meant for a part of a page, or to a form, is no page to come back to.
        page = request.htmx.current_url_abs_path if request.htmx else request.get_full_path()
        if not request.htmx and request.method not in {"GET", "HEAD"}:
            page = None
        where = resolve_url("join") + (f"?{urlencode({'next': page})}" if page else "")
        return HttpResponseClientRedirect(where) if request.htmx else redirect(where)


class JoinForm(forms.Form):
    code = forms.CharField(
        label="Join code",
        max_length=40,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "off",
                "autocapitalize": "characters",
                "spellcheck": "false",
                "autofocus": True,
                "placeholder": "XXXX-XXXX",
            }
        ),
    )

    def clean_code(self):
        right = present_code()
        if not right or not constant_time_compare(bare(self.cleaned_data["code"]), bare(right)):
            raise forms.ValidationError("That is not the join code. The superintendent has it.")
        return self.cleaned_data["code"]


@open_to_all
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def join(request):
    target = safe_target(request)
    if request.method != "POST":
        return redirect(target) if has_joined(request) else show(request, JoinForm(), target)
    device = request.META.get("REMOTE_ADDR", "")
    form = JoinForm(request.POST)
    if not limiter.test(WRONG_CODES, device):
        form.errors.clear()
        form.add_error("code", "Too many wrong codes from this device. Wait a minute, then try again.")
        return show(request, form, target, status=429)
    if not form.is_valid():
        limiter.hit(WRONG_CODES, device)
        return show(request, form, target, status=422)
    request.session.cycle_key()
    request.session[SESSION_NAME] = token(present_code())
    return redirect(target)


def show(request, form, target, status=200):
    return render(request, "contest/join.html", {"form": form, "next": target}, status=status)


def safe_target(request) -> str:
    """Where to go once in: a page of this site, never another's."""
    wanted = request.POST.get("next") or request.GET.get("next") or "/"
    return wanted if url_has_allowed_host_and_scheme(wanted, allowed_hosts=None) else "/"


@open_to_all
@require_GET
def healthz(request):
    """Says that the server answers; touches neither the database nor the session."""
    return HttpResponse("ok\n", content_type="text/plain; charset=utf-8")
