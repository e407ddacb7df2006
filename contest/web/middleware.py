"""What holds for every request, whoever asks."""

import re
from collections.abc import Callable
from ipaddress import ip_address

from django.conf import settings
from django.core.exceptions import (
    BadRequest,
    RequestDataTooBig,
    SuspiciousOperation,
    TooManyFieldsSent,
    TooManyFilesSent,
)
from django.http import HttpResponse, HttpResponseBadRequest, UnreadablePostError
from django.http.multipartparser import MultiPartParserError
from django.http.request import split_domain_port
from django.shortcuts import render
from django.utils.translation import gettext as _

from contest.changes import SubmissionReused
from contest.web.requests import Request

# Endings that no public name has: they are given out by the local network alone.
LOCAL_ENDINGS = (".local", ".lan", ".internal", ".home.arpa")

MEGABYTE = 1024 * 1024
MOST_UPLOADED = 16 * MEGABYTE
"""The largest file taken in; a book of 20 000 contestants packs into a tenth of it."""
BESIDES_THE_FILE = MEGABYTE

# Scripts and styles come from our own files only, never from within a page.
CONTENT_POLICY = "; ".join(
    [
        "default-src 'self'",
        "img-src 'self' data:",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    ]
)


def is_known_host(header: str) -> bool:
    """May this laptop be called by this name?

    Against DNS rebinding: a public page may point a name of its own at this laptop and then read our pages as if they
    were its own. It needs a public name for that, so addresses, names without a dot and names of the local network
    are safe to let in, whatever they are today; every other name must be listed in TANBARK_HOSTS.
    """
    host, _port = split_domain_port(header)
    if not host:
        return False
    host = host.rstrip(".")
    if "." not in host and not host.startswith("["):
        return True
    if host.endswith(LOCAL_ENDINGS) or host in settings.EXTRA_HOSTS:
        return True
    try:
        ip_address(host.strip("[]"))
    except ValueError:
        return False
    return True


class KnownHost:
    def __init__(self, get_response: Callable[[Request], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: Request) -> HttpResponse:
        if not is_known_host(request.META.get("HTTP_HOST", "localhost")):
            why = _("This laptop does not answer to that name. Use its address, or add the name to TANBARK_HOSTS.")
            return HttpResponseBadRequest(why, content_type="text/plain; charset=utf-8")
        return self.get_response(request)


class NotTooLarge:
    """Refuses what is larger than any form of ours, before any of it is read.

    The hall's network is open: what is read of an upload, before anybody asks who sends it, takes a thread and the
    disk. The form itself says the limit of its file; this is for what comes past that.
    """

    def __init__(self, get_response: Callable[[Request], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: Request) -> HttpResponse:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isascii() or not length.isdecimal() or int(length) <= MOST_UPLOADED + BESIDES_THE_FILE:
            return self.get_response(request)
        return render(request, "413.html", {"most": MOST_UPLOADED // MEGABYTE}, status=413)


class RefuseUnreadable:
    """Reads what was sent before anything else does, and refuses in words what cannot be read.

    No page and no script of ours sends such a thing; a scanner, a broken browser or a curious visitor does. Past this
    point the address and every field are text that both databases take, and nobody who looks at a form can fail: not
    even Django's error pages, which look at it once more.
    """

    SESSION_KEY = re.compile(r"[a-z0-9]{8,40}")

    def __init__(self, get_response: Callable[[Request], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: Request) -> HttpResponse:
        # A cookie may hold anything, and this one is looked up in the database.
        if not self.SESSION_KEY.fullmatch(request.COOKIES.get(settings.SESSION_COOKIE_NAME, "")):
            request.COOKIES.pop(settings.SESSION_COOKIE_NAME, None)
        why = why_unreadable(request)
        return refusal(request, *why) if why else self.get_response(request)


def why_unreadable(request: Request) -> tuple[int, str] | None:
    """The status and the words to refuse a request with; None for one that can be read."""
    length = request.META.get("CONTENT_LENGTH") or "0"
    if not (length.isascii() and length.isdecimal()):
        return 400, _("It does not say how long it is.")
    try:
        fields = [*request.GET.lists(), *request.POST.lists()]
    except (TooManyFieldsSent, TooManyFilesSent):
        return 400, _("It has more fields than any form of Tanbark’s.")
    except RequestDataTooBig:
        return 413, _("It is longer than any form of Tanbark’s.")
    except (BadRequest, MultiPartParserError, SuspiciousOperation, UnreadablePostError):
        return 400, _("It arrived damaged. Go back, load the page again, and send it once more.")
    if "\0" in request.path or any("\0" in text for name, values in fields for text in (name, *values)):
        return 400, _("There is a character in it that no text can hold (NUL). Take it out, and send it once more.")
    return None


def refusal(request: Request, status: int, why: str) -> HttpResponse:
    """An answer that says why nothing was done, as a page or, for a script, as a line."""
    if "text/html" in request.headers.get("Accept", "text/html"):
        return render(request, "400.html", {"why": why}, status=status)
    text = _("Nothing was done. {why}").format(why=why)
    return HttpResponse(f"{text}\n", status=status, content_type="text/plain; charset=utf-8")


def bad_request(request: Request, exception: Exception) -> HttpResponse:
    """What Django answers where it refuses something by itself; our own words are in a BadRequest."""
    ours = isinstance(exception, BadRequest) and exception.args
    return refusal(request, 400, str(exception) if ours else _("It is nothing that a page of Tanbark’s sends."))


class ContentPolicy:
    def __init__(self, get_response: Callable[[Request], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: Request) -> HttpResponse:
        response = self.get_response(request)
        # Django's own error page, seen only when debugging, lives from inline styles.
        if not settings.DEBUG:
            response.headers.setdefault("Content-Security-Policy", CONTENT_POLICY)
        return response


class ReusedSubmission:
    """Says so where a form's submission id came before with another content; see contest.web.submissions."""

    def __init__(self, get_response: Callable[[Request], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: Request) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: Request, exception: Exception) -> HttpResponse | None:
        return render(request, "422.html", status=422) if isinstance(exception, SubmissionReused) else None
