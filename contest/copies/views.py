"""The copies: which there are, one more now, and one to take away."""

from __future__ import annotations

import tempfile
import zipfile

from django.conf import settings
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_noop
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from contest.access import of_the_machine
from contest.copies.pages import copies_page
from contest.copies.places import find_copy
from contest.copies.wishes import ask_for_copy
from contest.trail import note, sentence
from contest.web.requests import Request
from contest.web.revisions import is_poll, nothing_new
from contest.web.submissions import submitted


@of_the_machine
@never_cache
@require_safe
def copies(request: Request) -> HttpResponse:
    page = copies_page()
    if is_poll(request):
        reply = nothing_new(request, page["version"])
        return reply or render(request, "contest/copies/_copies.html", page)
    return render(request, "contest/copies/copies.html", page)


@of_the_machine
@require_POST
def copy_now(request: Request) -> HttpResponse:
    if settings.SEVERAL:  # of a database that may be on another machine
        return render(request, "contest/copies/not_here.html", status=409)
    submitted(request, lambda: ask_for_copy(gettext_noop("asked for in the browser")))
    return redirect("copies")


@of_the_machine
@never_cache
@require_safe
def download(request: Request, name: str) -> FileResponse:
    """A copy as one file, which `manage.py restore` takes as it is. It holds everything, the passwords' hashes too."""
    copy = find_copy(name)
    if copy is None:
        raise Http404("There is no such copy, or its memory stick is not there.")
    note(request.who, sentence("copy_downloaded"), after={"copy": copy.name})
    packed = tempfile.TemporaryFile(dir=settings.DATA_FOLDER)  # noqa: SIM115 -- the answer closes it
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as file:
        for path in sorted(copy.path.rglob("*")):
            if path.is_file():
                file.write(path, f"{copy.name}/{path.relative_to(copy.path).as_posix()}")
    packed.seek(0)
    return FileResponse(packed, as_attachment=True, filename=f"tanbark-copy-{copy.name}.zip")
