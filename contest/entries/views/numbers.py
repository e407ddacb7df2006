"""Giving everybody a number: choose how, look at them, confirm."""

from __future__ import annotations

from django.http import HttpResponse
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods

from contest.access import contest_for
from contest.entries.assigning import NotAsSeen, NumberScheme, digest, everybody, give_numbers, new_seed, numbers_of
from contest.entries.entered import anything_read
from contest.entries.forms import NumbersForm
from contest.entries.numbers import NoNumbers
from contest.entries.replies import AS_SHOWN, Trouble, attempt, done, show
from contest.history.offering import offer
from contest.models import Contest
from contest.web.requests import Request
from scoring.core.explain import as_sentence
from scoring.core.points import in_thousands


@require_http_methods(["GET", "HEAD", "POST"])
def numbers(request: Request, pk: int) -> HttpResponse:
    """Sent, it shows the numbers that the choice gives; sent with `save`, it gives those that were shown."""
    contest = contest_for(request, pk)
    if request.method != "POST":
        return show_numbers(request, contest, NumbersForm())
    form = NumbersForm(request.POST)
    if not form.is_valid():
        return show_numbers(request, contest, form, status=422)
    save = "save" in request.POST
    scheme = scheme_of(form, request.POST.get("seed", "") if save else new_seed())
    if not save:
        return show_numbers(request, contest, form, scheme)
    before = contest.revision
    try:
        changed = attempt(request, lambda: give_numbers(contest, scheme, request.who, request.POST.get("shown", "")))
        offer(request, contest, before)
        text = ngettext("{count} contestant has a new number.", "{count} contestants have a new number.", changed)
        return done(request, text.format(count=in_thousands(changed)), "entries", pk=pk)
    except NotAsSeen:
        return show_numbers(request, contest, form, scheme, str(AS_SHOWN), 409)
    except NoNumbers as reason:
        form.add_error(None, str(reason))
        return show_numbers(request, contest, form, status=422)
    except Trouble as trouble:
        return show_numbers(request, contest, form, None, trouble.text, 409)


def scheme_of(form: NumbersForm, seed: str) -> NumberScheme:
    values = form.cleaned_data
    at_random = values["how"] == NumbersForm.AT_RANDOM
    return NumberScheme(
        values["start"], values["step"], values["lowest"], values["highest"], (seed or new_seed()) if at_random else ""
    )


def show_numbers(
    request: Request,
    contest: Contest,
    form: NumbersForm,
    scheme: NumberScheme | None = None,
    trouble: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {"form": form, "closed": anything_read(contest), "trouble": trouble}
    if scheme:
        people = everybody(contest)
        try:
            numbers = numbers_of(people, scheme)
        except NoNumbers as reason:
            form.add_error(None, as_sentence(reason))
            return show(request, "numbers.html", contest, context, 422)
        context |= {
            "rows": [(contestant, numbers[contestant.pk]) for contestant in people],
            "changing": sum(contestant.number != numbers[contestant.pk] for contestant in people),
            "shown": digest(numbers),
            "seed": scheme.seed,
        }
    return show(request, "numbers.html", contest, context, status)
