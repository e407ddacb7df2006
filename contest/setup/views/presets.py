"""A contest from a preset of rules: all that it sets is shown with where it was read, before anything is made."""

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from contest.setup.contests import create_from_preset
from contest.setup.pages import preset_page
from contest.setup.presets import PRESETS
from contest.setup.saving import SAVED, saved
from contest.setup.views.making import EmptyForm
from contest.web.requests import Request


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def from_preset(request: Request, preset: str) -> HttpResponse:
    try:
        chosen = PRESETS[preset]
    except KeyError:
        raise Http404("There is no such preset.") from None
    form = EmptyForm(request.POST or None)
    status = 200
    if request.method == "POST":
        by = request.who
        status, pk = saved(request, form, lambda values: create_from_preset(chosen, by=by, **values).pk)
        if status == SAVED:
            return redirect("setup", pk)
    context = {"form": form, "title": gettext(chosen.title), **preset_page(chosen)}
    return render(request, "contest/setup/preset.html", context, status=status)
