"""By which address devices in the hall reach this laptop, and families at home its results."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from contest.access import contest_for
from contest.changes.exceptions import NotPossible
from contest.helpers.addresses import host_of, only_address, reach, set_addresses
from contest.helpers.forms import AddressesForm
from contest.web.requests import Request
from contest.web.submissions import submitted
from scoring.core.explain import as_sentence


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def addresses(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    reached = reach(request, contest)
    hosts = [(host_of(address), address) for address in reached.addresses]
    chosen = {"hall": "" if reached.is_gone else contest.hall_address, "public": contest.public_address}
    form = AddressesForm(request.POST if request.method == "POST" else None, hosts=hosts, initial=chosen)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        try:
            submitted(request, lambda: set_addresses(contest, request.who, typed["hall"], typed["public"]))
        except NotPossible as problem:
            form.add_error("public", as_sentence(problem))
        else:
            return redirect(request.path + "?done")
    context = {
        "contest": contest,
        "reached": reached,
        "form": form,
        "only": only_address(),
        "done": "done" in request.GET and request.method != "POST",
    }
    return render(request, "contest/helpers/addresses.html", context, status=422 if form.errors else 200)
