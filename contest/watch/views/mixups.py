"""What is done about a finding: mended by one press, or waved through."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, resolve_url
from django.utils.translation import gettext, gettext_noop
from django.views.decorators.http import require_POST

from contest.access import contest_for
from contest.changes import SubmissionReused
from contest.changes.exceptions import NotPossible
from contest.models import Contest
from contest.slips.mixups import Finding, open_findings, wave_through
from contest.slips.whole_stacks import exchange_stacks, turn_cards
from contest.watch.forms import MixupForm
from contest.watch.undoing import stretch
from contest.watch.views.doubts import problem_text, show_doubts
from contest.web.requests import Request
from contest.web.submissions import submitted

TURNED = gettext_noop("the cards lay upside down")
EXCHANGED = gettext_noop("the stacks were exchanged")
GONE = gettext_noop("the cards or the keys have changed meanwhile, and say something else now")


@require_POST
def mixup(request: Request, pk: int) -> HttpResponse:
    """Mend what looks mixed up, or say why it is right."""
    contest = contest_for(request, pk)
    findings = {finding.key: finding for finding in open_findings(contest)}
    finding = findings.get(request.POST.get("mixup", ""))
    act = request.POST.get("act", "")
    if finding is None or finding.shown != request.POST.get("shown") or act not in (finding.act, "wave"):
        return show_doubts(request, contest, status=409, trouble=gettext(GONE))
    form = MixupForm(request.POST, key=finding.anchor)
    if act == "wave" and not form.is_valid():
        return show_doubts(request, contest, status=422)

    def work() -> None:
        if act == "wave":
            wave_through(contest, finding, request.who, form.because)
        else:
            _mend(contest, finding, request.who)

    try:
        said = submitted(request, lambda: stretch(contest, work))
    except (NotPossible, SubmissionReused) as problem:
        return show_doubts(request, contest, status=409, trouble=problem_text(problem))
    return redirect(f"{resolve_url('doubts', contest.pk)}?did={said}")


def _mend(contest: Contest, finding: Finding, who: str) -> None:
    classes = contest.classes.select_related("contest")
    numbers, group = finding.mixup.classes, finding.mixup.group
    first, last = (get_object_or_404(classes, number=number) for number in (numbers[0], numbers[-1]))
    if finding.act == "turn":
        turn_cards(first, finding.mixup.numbers, who, TURNED)
    else:
        exchange_stacks(first, last, group, who, EXCHANGED)
