"""How far a file is that takes longer than a moment, and an end to it."""

from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe
from django_htmx.http import HttpResponseClientRedirect

from contest.access import open_to_every_superintendent
from contest.models import BroughtFile, Contest, Submission
from contest.uploads.book_problems import keep_problems, kept_problems, shown_problems
from contest.uploads.brought import cancel, find
from contest.uploads.files import problems_of
from contest.web.requests import Request
from contest.web.revisions import is_poll, nothing_new
from scoring.core.points import in_thousands

State = BroughtFile.State

WORDS = {
    State.WAITING: gettext_lazy("waits until another file is done"),
    State.READING: gettext_lazy("is being read"),
    State.FAILED: gettext_lazy("could not be used"),
    State.CANCELLED: gettext_lazy("cancelled: nothing was saved"),
}


@open_to_every_superintendent
@never_cache
@require_safe
def upload(request: Request, key: UUID) -> HttpResponse:
    """How far it is; once it is done, on to what became of it."""
    brought = find(key)
    if brought is None:
        return gone(request, key)
    if brought.state == State.DONE:
        return go_on(request, brought.leads_to)
    context = {"brought": brought, "words": words(brought), "version": brought.version}
    if problems := problems_of(brought):
        keep_problems(request.user.pk, brought.name, problems)
        context["problems"] = shown_problems(problems)
    if is_poll(request):
        return nothing_new(request, brought.version) or render(request, "contest/uploads/_upload.html", context)
    return render(request, "contest/uploads/upload.html", context)


@open_to_every_superintendent
@require_POST
def upload_cancel(request: Request, key: UUID) -> HttpResponse:
    """Stop it. Pressed twice, or too late, it changes nothing more."""
    brought = find(key)
    if brought:
        cancel(brought)
    return redirect("upload", key)


def words(brought: BroughtFile) -> str:
    if brought.state != State.READING:
        return str(WORDS[State(brought.state)])
    if brought.of:
        told = _("saving row {row} of about {rows}")
        return told.format(row=in_thousands(brought.done), rows=in_thousands(brought.of))
    return brought.at or str(WORDS[State.READING])


def gone(request: Request, key: UUID) -> HttpResponse:
    """Nobody knows of it any more: it is long ago, or gone with what it was for."""
    made = Submission.objects.filter(pk=key).first()
    if made and isinstance(made.outcome, int) and Contest.objects.filter(pk=made.outcome).exists():
        return go_on(request, reverse("setup", args=[made.outcome]))
    page = "contest/uploads/_gone.html" if is_poll(request) else "contest/uploads/gone.html"
    return render(request, page, {"made": made})


def go_on(request: Request, address: str) -> HttpResponse:
    return HttpResponseClientRedirect(address) if request.htmx else redirect(address)


@never_cache
@require_safe
def problems_text(request: Request) -> HttpResponse:
    """Every problem of the last book that was refused, a line each, to be saved."""
    text = kept_problems(request.user.pk)
    if text is None:
        raise Http404(_("The list is gone. Bring the book in again."))
    response = HttpResponse(text, content_type="text/plain; charset=utf-8")
    response.headers["Content-Disposition"] = 'attachment; filename="book-problems.txt"'
    return response
