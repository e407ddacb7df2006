"""Where the reading is, live. It shows no placing and no score, so whoever reads cards may see it too."""

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from contest.access import contest_for, open_to
from contest.models import Duty
from contest.watch.counting import numbers_of, progress_of, version_of
from contest.watch.rendering import page
from contest.watch.waiting import doubt_count
from contest.web.requests import Request
from contest.web.revisions import is_poll, nothing_new, once_a_version, revision_of


@open_to(Duty.TABULATOR)
@require_safe
def progress(request: Request, pk: int) -> HttpResponse:
    """Every class and group; a poll is answered without asking for more than the revision."""
    version = version_of(revision_of(pk))
    if same := nothing_new(request, version):
        return same
    contest = contest_for(request, pk)
    version = version_of(contest.revision)
    counted, left = once_a_version(f"progress-{pk}", version, lambda: progress_of(contest))
    template = "_progress.html" if is_poll(request) else "progress.html"
    waiting = doubt_count(contest) if request.is_superintendent else 0
    return page(request, template, contest, version=version, progress=counted, left=left, waiting=waiting)


@open_to(Duty.TABULATOR)
@require_safe
def progress_of_class(request: Request, pk: int, number: int) -> HttpResponse:
    """The numbers of one class by how far their cards are: of the group that `?group=` names, else of all groups."""
    version = str(revision_of(pk))
    if same := nothing_new(request, version):
        return same
    contest = contest_for(request, pk)
    judged = get_object_or_404(contest.classes, number=number, places=True)
    group = request.GET.get("group")
    groups = numbers_of(contest, judged, group)
    if group is not None and not groups:
        raise Http404("Nobody of that group judges this class.")
    template = "_progress_class.html" if is_poll(request) else "progress_class.html"
    return page(request, template, contest, version=str(contest.revision), judged=judged, group=group, groups=groups)
