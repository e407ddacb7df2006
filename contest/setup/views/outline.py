"""Setting a contest up: the page that leads through it, its rules, and each row of its outline."""

from collections.abc import Callable, Iterable
from functools import partial
from typing import Any

from django.db.models import Model
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contest.access import contest_for
from contest.changes import SubmissionReused
from contest.changes.exceptions import ChangedMeanwhile, NotPossible
from contest.history.offering import offer, offered
from contest.models import Card, Contest, JudgingClass
from contest.records.left_behind import left_behind
from contest.records.tallying import tallied
from contest.setup import classes, contests, outline, ties
from contest.setup.arranging import DOWN, UP, rearranged
from contest.setup.examples import TeamExample, team_example
from contest.setup.forms import (
    ClassesForm,
    FactsForm,
    ReasonForm,
    RulesForm,
    SetUpForm,
    VoidForm,
    states_in_words,
)
from contest.setup.kinds import CLASSES, DIVISIONS, KINDS, RowKind
from contest.setup.pages import TIE_TITLES, order_in_words, setup_page
from contest.setup.part_forms import ROW_FORMS
from contest.setup.saving import CONFLICT, SAVED, WRONG, saved
from contest.setup.values import FACTS, RULES, OutlineRow, Values, fingerprint, plain_values
from contest.slips.resettling import states_if
from contest.web.requests import Request
from contest.web.submissions import submitted
from scoring.core.explain import as_sentence

ROW = "contest/setup/row.html"
get_or_post = require_http_methods(["GET", "HEAD", "POST"])


@never_cache
@require_safe
def setup(request: Request, pk: int) -> HttpResponse:
    return show_setup(request, contest_for(request, pk))


@never_cache
@get_or_post
def facts(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    now = plain_values(contest, FACTS)
    form = FactsForm(request.POST or None, initial=FactsForm.initial_of(now))
    act = partial(contests.change_facts, contest)
    return edit(request, contest, form, now, "contest/setup/facts.html", act, "facts")


@never_cache
@get_or_post
def rules(request: Request, pk: int) -> HttpResponse:
    contest = contest_for(request, pk)
    now = plain_values(contest, RULES)
    cards = Card.objects.filter(judging_class__contest=contest).count()
    readings = [
        (rule["readings_per_card"], bool(rule["same_reader_twice"])) for _words, rule in RulesForm.READINGS.values()
    ]
    changed_states = states_if(contest, readings) if cards else []
    states = {
        choice: states_in_words(counts) for choice, counts in zip(RulesForm.READINGS, changed_states, strict=False)
    }
    form = RulesForm(request.POST or None, initial=RulesForm.initial_of(now), states=states)
    act = partial(contests.change_rules, contest)
    return edit(request, contest, form, now, "contest/setup/rules.html", act, "rules", cards=cards)


@never_cache
@get_or_post
def add(request: Request, pk: int, kind: str) -> HttpResponse:
    contest, of = contest_for(request, pk), kind_of(kind)
    form_type = ROW_FORMS[of.name]
    form = form_type(contest, request.POST or None, initial=form_type.first_values(contest))
    status = 200
    if request.method == "POST":
        status, row = saved(request, form, lambda values: outline.add(of, contest, by=request.who, **values).pk)
        if status == SAVED and "another" in request.POST:
            return redirect("setup_add", contest.pk, of.name)
        if status == SAVED:
            return to_setup(contest, f"{of.name}-{row}")
    else:
        form.point_at_first()
    return page(request, contest, ROW, {"form": form, **about_row(of, form)}, status)


@never_cache
@get_or_post
def add_classes(request: Request, pk: int) -> HttpResponse:
    """Many classes at once, typed as a list."""
    contest = contest_for(request, pk)
    form = ClassesForm(contest, request.POST or None, initial=ClassesForm.first_values(contest))
    status = 200
    if request.method == "POST":
        status, _made = saved(request, form, lambda values: outline.add_classes(contest, request.who, **values))
        if status == SAVED:
            return to_setup(contest, CLASSES.name)
    return page(request, contest, "contest/setup/classes.html", {"form": form}, status)


@never_cache
@get_or_post
def change(request: Request, pk: int, kind: str, row: int) -> HttpResponse:
    contest, of = contest_for(request, pk), kind_of(kind)
    changed = row_of(contest, of, row)
    now = of.values_of(changed)
    form = ROW_FORMS[of.name](contest, request.POST or None, initial=now)
    act, anchor = partial(outline.change, changed), f"{of.name}-{changed.pk}"
    return edit(request, contest, form, now, ROW, act, anchor, **about_row(of, form, changed))


@never_cache
@get_or_post
def remove(request: Request, pk: int, kind: str, row: int) -> HttpResponse:
    """Ask before removing what nothing uses; say what uses the rest."""
    contest, of = contest_for(request, pk), kind_of(kind)
    unused = row_of(contest, of, row)
    status = 200
    if request.method == "POST":
        try:
            before = contest.revision
            submitted(request, lambda: outline.remove(unused, request.who))
            offer(request, contest, before)
            return to_setup(contest, of.name)
        except (NotPossible, SubmissionReused):
            status = CONFLICT  # the page says what stands in the way
    uses = of.uses(unused)
    context = {
        "kind": of,
        "row": unused,
        "uses": uses,
        "goes_with": of.goes_with(unused),
        "title": of.say(of.to_remove, unused),
        "heading": of.say(of.used if uses else of.to_remove, unused),
    }
    return page(request, contest, "contest/setup/remove.html", context, status)


@never_cache
@get_or_post
def void(request: Request, pk: int, row: int) -> HttpResponse:
    """Throw a class out, or let it count again; either asks why."""
    contest = contest_for(request, pk)
    judged = row_of(contest, CLASSES, row)
    counts_again = judged.void or judged.full_points or bool(classes.void_for(judged))
    voids = request.POST.get("void", "no" if counts_again else "yes") == "yes"
    divisions = list(judged.divisions.order_by("position", "pk").values_list("code", "name"))
    form = VoidForm(request.POST or None, divisions, judged.places) if voids else ReasonForm(request.POST or None)
    status = 200
    if request.method == "POST":
        act = partial(throw_out, judged, request.who) if voids else partial(classes.unvoid_class, judged, request.who)
        status, _outcome = saved(request, form, lambda values: act(**values))
        if status == SAVED:
            return to_setup(contest, f"classes-{judged.pk}")
        judged.refresh_from_db()
    cards = Card.objects.filter(judging_class=judged).count()
    context = {"judged": judged, "form": form, "cards": cards, "counts_again": counts_again}
    return page(request, contest, "contest/setup/void.html", context, status)


def throw_out(judged: JudgingClass, by: str, reason: str, instead: str = "", divisions: Iterable[str] = ()) -> None:
    if instead == "full":
        classes.give_full_points(judged, by, reason)
    else:
        classes.void_class(judged, by, reason, list(divisions))


@require_POST
def arrange(request: Request, pk: int, kind: str) -> HttpResponse:
    """Put the divisions, categories, classes or parts in another order."""
    contest, of = contest_for(request, pk), kind_of(kind)
    rows = getattr(contest, of.name).select_related("contest")

    def change(order: list[str], before: list[str]) -> None:
        outline.set_order(rows, numbers(order), request.who, numbers(before))

    return put_in_order(request, contest, of.name, change)


@require_POST
def tie_order(request: Request, pk: int, scope: str) -> HttpResponse:
    """Put a tie order in another order, or take a step in or out."""
    contest = contest_for(request, pk)
    if scope not in TIE_TITLES:
        raise Http404("There is no such tie order.")

    def change(order: list[str], before: list[str]) -> None:
        ties.set_tie_order(contest, scope, order, request.who, before)

    return put_in_order(request, contest, f"ties-{scope}", change)


@never_cache
@require_safe
def team_rules_example(request: Request, pk: int) -> HttpResponse:
    """What the number of counting members comes to, for the form while it is filled in."""
    contest_for(request, pk)
    return render(request, "contest/setup/_team_example.html", {"team": example_of(request.GET.get("team_counting"))})


def show_setup(request: Request, contest: Contest, status: int = 200, **context: Any) -> HttpResponse:
    record = tallied(contest).record
    context |= {"offer": offered(request, contest), "left_behind": left_behind(contest)}
    return page(request, contest, "contest/setup/setup.html", setup_page(contest, record) | context, status)


def edit(
    request: Request,
    contest: Contest,
    form: SetUpForm,
    now: Values,
    template: str,
    act: Callable[..., Model],
    anchor: str,
    **context: Any,
) -> HttpResponse:
    """A form over settings that are `now` like this; `act` changes them, and the set-up opens at `anchor` again."""
    status, mark = 200, fingerprint(now)
    if request.method == "POST":
        mark = request.POST.get("shown", "")
        status, _outcome = saved(request, form, lambda values: act(request.who, mark, **values).pk)
        if status == SAVED:
            return to_setup(contest, anchor)
    return page(request, contest, template, {"form": form, **conflict(form, mark), **context}, status)


def about_row(kind: RowKind[Any], form: SetUpForm, row: OutlineRow | None = None) -> dict[str, Any]:
    """What the page of a row shows beside its form."""
    title = kind.say(kind.to_change, row) if row else _(kind.new)
    context: dict[str, Any] = {"kind": kind, "row": row, "title": title}
    if kind is DIVISIONS:
        context["team"] = example_of(form["team_counting"].value())
    if isinstance(row, JudgingClass):
        context["cards"] = Card.objects.filter(judging_class=row).count()
    return context


def conflict(form: SetUpForm, mark: str) -> dict[str, Any]:
    """What a form over settings shows besides itself: what it was made from and, after a conflict, how that is now."""
    if form.theirs is None:
        return {"shown": mark}
    return {"shown": fingerprint(form.theirs), "differences": form.differences(form.theirs), "conflict": True}


def put_in_order(
    request: Request, contest: Contest, kind: str, change: Callable[[list[str], list[str]], None]
) -> HttpResponse:
    """Make the order that was asked for: by a wish such as `up 12`, a whole order, or a step to add."""
    before = request.POST.get("shown", "").split()
    wish = request.POST.get("wish", "")
    try:
        wanted = wanted_order(request, before, wish)
        submitted(request, lambda: change(wanted, before))
    except ChangedMeanwhile:
        return order_conflict(request, contest, kind, wanted)
    except (NotPossible, SubmissionReused, ValueError) as refused:
        no_order = _("That is no order of these. Nothing was saved.")
        why = as_sentence(refused) if isinstance(refused, NotPossible) else no_order
        return show_setup(request, contest, WRONG, refused={"kind": kind, "why": why})
    return to_setup(contest, focus_after(kind, wish, wanted))


def wanted_order(request: Request, before: list[str], wish: str) -> list[str]:
    if added := request.POST.get("add"):
        return [*before, added]
    if wish:
        return rearranged(before, wish)
    return request.POST.get("order", "").split()


def order_conflict(request: Request, contest: Contest, kind: str, wanted: list[str]) -> HttpResponse:
    record = tallied(contest).record
    shown = setup_page(contest, record)
    listings = {tie["listing"].kind: tie["listing"] for tie in shown["ties"]}
    listing = listings.get(kind) or shown[kind]
    why = _(
        "Somebody else changed this meanwhile, and nothing of yours was saved. Your order was: {order}. "
        "The present one stands below."
    ).format(order=order_in_words(kind, wanted, listing, record))
    return page(
        request, contest, "contest/setup/setup.html", {**shown, "refused": {"kind": kind, "why": why}}, CONFLICT
    )


def focus_after(kind: str, wish: str, order: list[str]) -> str:
    """What has the focus after a move: the same button, or the other one at either end of the list."""
    action, _, key = wish.partition(" ")
    if key not in order:
        return kind
    if key == order[0]:
        action = DOWN
    elif key == order[-1]:
        action = UP
    return f"{kind}-{key}-{action}"


def to_setup(contest: Contest, anchor: str) -> HttpResponse:
    return redirect(f"{reverse('setup', args=[contest.pk])}#{anchor}")


def page(request: Request, contest: Contest, template: str, context: dict[str, Any], status: int = 200) -> HttpResponse:
    context = {"contest": contest, "rules": contest, "revision": contest.revision, **context}
    return render(request, template, context, status=status)


def kind_of(name: str) -> RowKind[Any]:
    try:
        return KINDS[name]
    except KeyError:
        raise Http404("There is no such part of a contest.") from None


def row_of(contest: Contest, kind: RowKind[Any], pk: int) -> Any:
    row = kind.model._default_manager.filter(contest=contest, pk=pk).first()
    if row is None:
        raise Http404(f"The contest has no such {kind.one}.")
    return row


def numbers(order: Iterable[str]) -> list[int]:
    return [int(key) for key in order]


def example_of(team_counting: Any) -> TeamExample | None:
    try:
        return team_example(int(team_counting))
    except (TypeError, ValueError):
        return None
