"""The print shop: choosing documents, the jobs that make them, and their files."""

from typing import Any

from django.conf import settings
from django.http import FileResponse, Http404, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest.access import contest_for
from contest.helpers.addresses import reach
from contest.models import Contest
from contest.trail import note, sentence
from contest.trail.noting import note_fetched
from contest.web.requests import Request
from contest.web.submissions import submitted
from scoring.announced.held_back import holds_back
from scoring.models import PrintJob
from scoring.prints import jobs, looks, pages
from scoring.prints.availability import pdf_problem
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import Choice, WrongChoice, as_sentence
from scoring.prints.forms import PrintForm
from scoring.prints.gathering import gather_material
from scoring.prints.left_out import left_out
from scoring.prints.preview import to_look_at
from scoring.prints.rendering import html_of


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def prints(request: Request, pk: int) -> HttpResponse:
    """Choose what to print; each document that is chosen becomes a job."""
    contest = contest_for(request, pk)
    if request.method != "POST":
        return render_prints(request, contest, _form(request, contest, None))
    form = _form(request, contest, request.POST)
    if not form.is_valid():
        return render_prints(request, contest, form, status=422)

    def order() -> None:
        for name in form.cleaned_data["documents"]:
            job = jobs.order_job(contest, DOCUMENTS[name], form.choice(DOCUMENTS[name]), request.who)
            note_job(request, job, "print_ordered")

    submitted(request, order)
    return to_the_jobs(pk)


@never_cache
@require_safe
def prints_jobs(request: Request, pk: int) -> HttpResponse:
    """The jobs, for the page that shows them to ask again; 204 while they are as they were."""
    contest = contest_for(request, pk)
    context = {"contest": contest, **_jobs(contest)}
    if request.GET.get("v") == context["version"]:
        return HttpResponse(status=204)
    return render(request, "prints/shop/_jobs.html", context)


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def print_look(request: Request, pk: int, document: str) -> HttpResponse:
    """The pages of a document as they would be printed with the choice that is sent; changes nothing. A page to print
    from the browser where there is no choice, or nothing that makes a PDF."""
    contest = contest_for(request, pk)
    wanted = DOCUMENTS.get(document)
    if wanted is None:
        raise Http404(_("There is no such document."))
    choice, form = Choice(paper=pages.usual_paper(), address=reach(request, contest).base), None
    if request.method == "POST":
        data = request.POST.copy()
        data.setlist("documents", [document])
        form = _form(request, contest, data)
        if not form.is_valid():
            return render_prints(request, contest, form, status=422)
        choice = form.choice(wanted)
        if not pdf_problem() and not settings.SEVERAL:  # whose next request may come to another
            look = looks.begin(contest, wanted, choice, request.who)
            note_fetched(request, sentence("print_looked_at", document=document), contest)
            return redirect("print-looked", pk, look.token)
    try:
        material, choice, cut = to_look_at(wanted, gather_material(contest.pk, wanted, choice.address), choice)
        page = html_of(wanted, material, choice, for_browser=True, cut=cut)[0]
    except WrongChoice as problem:
        assert form is not None  # the usual choice is always there
        form.add_error("whose", as_sentence(problem))
        return render_prints(request, contest, form, status=422)
    note_fetched(request, sentence("print_looked_at", document=document), contest)
    return HttpResponse(page)


@never_cache
@require_safe
def print_file(request: Request, pk: int, job: int) -> FileResponse:
    """A finished PDF, shown in the browser."""
    print_job = get_object_or_404(contest_for(request, pk).print_jobs, pk=job, state=PrintJob.State.DONE)
    path = jobs.fetched(print_job)
    if path is None:
        raise Http404(_("The file is no longer in the data folder."))
    fetched = sentence("print_fetched", document=print_job.document)
    note_fetched(request, fetched, print_job.contest, [f"print:{print_job.pk}"])
    return FileResponse(
        path.open("rb"), content_type="application/pdf", filename=f"{print_job.document}-{print_job.pk}.pdf"
    )


@require_POST
def print_again(request: Request, pk: int, job: int) -> HttpResponse:
    """Make a document of the same choice again, of the contest as it is now."""
    print_job = get_object_or_404(contest_for(request, pk).print_jobs.select_related("contest"), pk=job)

    def order() -> None:
        note_job(request, jobs.order_again(print_job, request.who), "print_ordered_again")

    submitted(request, order)
    return to_the_jobs(pk)


@require_POST
def print_cancel(request: Request, pk: int, job: int) -> HttpResponse:
    print_job = get_object_or_404(contest_for(request, pk).print_jobs, pk=job)

    def cancel() -> None:
        jobs.cancel_job(print_job)
        note_job(request, print_job, "print_cancelled")

    submitted(request, cancel)
    return to_the_jobs(pk)


@require_POST
def print_forget(request: Request, pk: int, job: int) -> HttpResponse:
    """Take a finished job off the list."""
    print_job = contest_for(request, pk).print_jobs.filter(pk=job).first()

    def forget() -> None:
        if print_job:
            jobs.forget_job(print_job)

    submitted(request, forget)
    return to_the_jobs(pk)


def note_job(request: Request, job: PrintJob, code: str) -> None:
    note(request.who, sentence(code, document=job.document), job.contest, about=[f"print:{job.pk}"])


def render_prints(request: Request, contest: Contest, form: PrintForm, status: int = 200) -> HttpResponse:
    no_pdf = pdf_problem()
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "form": form,
        "sections": pages.sections(form),
        "no_pdf": no_pdf,
        "left_out": None if no_pdf else left_out(form.material),
        "held_back": holds_back(contest),
        **_jobs(contest),
    }
    return render(request, "prints/shop/prints.html", context, status=status)


def to_the_jobs(pk: int) -> HttpResponse:
    """The page, at its files: on a phone they are far below. Showing it sets to work what was ordered."""
    return redirect(f"{reverse('prints', args=[pk])}#made")


def _jobs(contest: Contest) -> dict[str, Any]:
    jobs.go_on()
    return pages.jobs_shown(contest)


def _form(request: Request, contest: Contest, data: QueryDict | None) -> PrintForm:
    reached = reach(request, contest)
    addresses = [reached.base, *reached.others] if reached.base else []
    return PrintForm(data, gather_material(contest.pk), addresses, pages.usual_paper())
