"""What the awards look like: names and colours of the places, and the contest's picture."""

from pathlib import PurePosixPath
from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest import kept
from contest.access import contest_for
from contest.models import Contest, ResultSet
from contest.uploads.brought import NotNow, bring
from contest.uploads.pictures import MOST_BYTES, NotAPicture
from contest.web.requests import Request
from contest.web.submissions import content_of, submission_of, submitted, was_made
from scoring.core.points import in_thousands
from scoring.prints.bringing import using_a_picture
from scoring.prints.forms import RibbonsForm
from scoring.prints.pictures import TYPES, picture_of
from scoring.prints.ribbons import RibbonsChanged, fingerprint, ribbons_of, set_ribbons, take_picture_away

FEWEST_ROWS = 10
SPARE_ROWS = 3


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def print_awards(request: Request, pk: int) -> HttpResponse:
    """The table of ribbons, or that of a set of results, and the picture."""
    contest = contest_for(request, pk)
    asked = request.GET.get("set")
    of = get_object_or_404(contest.sets, code=asked) if asked else None
    known = ribbons_of(contest, of)
    places = max(FEWEST_ROWS, max(known, default=0) + SPARE_ROWS)
    if request.method != "POST":
        return render_awards(request, contest, RibbonsForm(None, known, places), fingerprint(known), of=of)
    form = RibbonsForm(request.POST, known, places)
    saw = request.POST.get("shown", "")
    if not form.is_valid():
        return render_awards(request, contest, form, saw, status=422, of=of)
    try:
        submitted(request, lambda: set_ribbons(contest, form.ribbons(), request.who, saw, of))
    except RibbonsChanged as changed:
        theirs = changed.theirs
        return render_awards(request, contest, form, fingerprint(theirs), status=409, theirs=theirs, of=of)
    return redirect(request.get_full_path())


@require_POST
def print_picture_change(request: Request, pk: int) -> HttpResponse:
    """Give the award sheets another picture, or none."""
    contest = contest_for(request, pk)
    if "remove" in request.POST:
        submitted(request, lambda: take_picture_away(contest, request.who))
        return redirect("print-awards", pk)
    upload = request.FILES.get("picture")
    if upload is None:
        trouble = _("Choose a file first.")
    elif (upload.size or 0) > MOST_BYTES:
        trouble = _("The picture has {size} bytes; {most} is the most.").format(
            size=in_thousands(upload.size or 0), most=in_thousands(MOST_BYTES)
        )
    else:
        try:
            return redirect(use_picture(request, contest, upload))
        except NotAPicture as problem:
            trouble = str(problem)
    known = ribbons_of(contest)
    form = RibbonsForm(None, known, max(FEWEST_ROWS, max(known, default=0) + SPARE_ROWS))
    return render_awards(request, contest, form, fingerprint(known), status=422, trouble=trouble)


def use_picture(request: Request, contest: Contest, upload: UploadedFile) -> str:
    """Have a picture looked through and used: the address to go on to. Raises NotAPicture."""
    done = reverse("print-awards", args=[contest.pk])
    key, content = submission_of(request), content_of(request)
    if was_made(key):
        submitted(request, lambda: None)
        return done
    try:
        brought = bring(key, "picture", upload, content, done, using_a_picture(request.who), contest)
    except NotNow as reason:
        raise NotAPicture(str(reason)) from None
    if brought.state == brought.State.FAILED:
        raise NotAPicture(brought.said_trouble)
    return brought.get_absolute_url()


@never_cache
@require_safe
def print_picture(request: Request, pk: int) -> FileResponse:
    """The picture itself. It draws and runs nothing, whatever is in it."""
    name = picture_of(contest_for(request, pk).pk)
    if name is None:
        raise Http404("The contest has no picture.")
    response = FileResponse(kept.opened(name), content_type=TYPES[PurePosixPath(name).suffix])
    response.headers["Content-Security-Policy"] = "default-src 'none'; style-src 'unsafe-inline'; sandbox"
    return response


def render_awards(
    request: Request,
    contest: Contest,
    form: RibbonsForm,
    saw: str,
    status: int = 200,
    theirs: Any = None,
    trouble: str = "",
    of: ResultSet | None = None,
) -> HttpResponse:
    context = {
        "contest": contest,
        "rules": contest,
        "revision": contest.revision,
        "form": form,
        "shown": saw,
        "theirs": sorted(theirs.items()) if theirs is not None else None,
        "trouble": trouble,
        "of": of,
        "sets": contest.sets.all(),
        "picture": picture_of(contest.pk),
        "most": MOST_BYTES // 1_000_000,
    }
    return render(request, "prints/shop/awards.html", context, status=status)
