"""A contest looked back on."""

from typing import Any

from django.http import HttpResponseBase
from django.views.decorators.http import require_safe

from contest.shortcuts import answer, load_contest
from contest.web.requests import Request
from contest.web.revisions import once_a_version
from scoring.core.study import study as study_of
from scoring.results.study_pages import study_page


@require_safe
def study(request: Request, pk: int) -> HttpResponseBase:
    """How each class was placed and what it told, as far as the contest is."""
    row, shown = load_contest(request, pk)

    def work() -> dict[str, Any]:
        return study_page(shown.record, study_of(shown.record, shown.result))

    def page() -> dict[str, Any]:
        return once_a_version(f"study-{pk}", str(shown.revision), work)

    return answer(request, "scoring/study/study.html", row, shown, page)
