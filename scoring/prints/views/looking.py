"""Looking at the real pages of a document before it is printed."""

from typing import Any

from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from contest.access import contest_for
from contest.models import Contest
from contest.web.requests import Request
from contest.web.submissions import submitted
from scoring.prints import jobs
from scoring.prints.looks import Look, look_of
from scoring.prints.pages import choice_label
from scoring.prints.views.print_shop import note_job, to_the_jobs


@never_cache
@require_safe
def looked(request: Request, pk: int, token: str) -> HttpResponse:
    """The pages that are drawn so far; 204 for the page that asks again while there are no others."""
    contest, look = _look(request, pk, token)
    context = {"contest": contest, "rules": contest, "revision": contest.revision, **_shown(look)}
    if "v" not in request.GET:
        return render(request, "prints/shop/look.html", context)
    if request.GET["v"] == context["version"]:
        return HttpResponse(status=204)
    return render(request, "prints/shop/_look.html", context)


@never_cache
@require_safe
def looked_page(request: Request, pk: int, token: str, number: int) -> FileResponse:
    look = _look(request, pk, token)[1]
    if not 1 <= number <= look.drawn:
        raise Http404(_("That page is not drawn."))
    return FileResponse(look.page(number).open("rb"), content_type="image/png")


@never_cache
@require_safe
def looked_pdf(request: Request, pk: int, token: str) -> FileResponse:
    """The same pages as text."""
    look = _look(request, pk, token)[1]
    if not look.drawn:
        raise Http404(_("The pages are not made yet."))
    return FileResponse(
        look.pdf.open("rb"), content_type="application/pdf", filename=f"{look.document.name}-{_('look')}.pdf"
    )


@require_POST
def looked_make(request: Request, pk: int, token: str) -> HttpResponse:
    """Have the file made of what was looked at."""
    contest, look = _look(request, pk, token)

    def order() -> None:
        note_job(request, jobs.order_job(contest, look.document, look.choice, request.who), "print_ordered")

    submitted(request, order)
    return to_the_jobs(pk)


def _look(request: Request, pk: int, token: str) -> tuple[Contest, Look]:
    contest = contest_for(request, pk)
    look = look_of(contest, token)
    if look is None:
        raise Http404(_("These pages are kept no more: go back to Prints and look again."))
    return contest, look


def _shown(look: Look) -> dict[str, Any]:
    return {
        "look": look,
        "choice": choice_label(look.choice),
        "numbers": range(1, look.drawn + 1),
        "more": look.total - look.drawn if look.ended else 0,
        "problem": look.problem and _(look.problem),
        "version": f"{look.drawn}-{look.total}-{int(look.ended)}",
    }
