"""Forms that change something are sent once, however often the browser sends them.

Every such form carries an id of its own (`{% load submissions %}{% submission %}` inside the form). Its view hands the
change to `submitted`, which makes it the first time and remembers what came of it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.core.exceptions import BadRequest
from django.utils.translation import gettext as _

from contest.changes import Outcome, once
from contest.models import Submission
from contest.web.requests import Request

FIELD = "submission"
SECRETS = {"password", "now", "new"}
"""Fields of passwords: nothing of them is remembered, as a digest of what people can type can be guessed."""
NOT_CONTENT = {FIELD, "csrfmiddlewaretoken", *SECRETS}


def submission_of(request: Request) -> UUID:
    """The id that the form was sent with. Raises BadRequest without one: our own pages always send it."""
    try:
        return UUID(request.POST.get(FIELD, ""))
    except ValueError:
        raise BadRequest(_("This form came without its submission id. Load its page again.")) from None


def submitted(request: Request, work: Callable[[], Outcome]) -> Outcome:
    """Make the change that a form asks for, once, and return its outcome, which JSON must be able to hold.

    Raises what `work` raises, after which nothing is remembered; SubmissionReused where the same id came before with
    another content; BadRequest where there is no id.
    """
    return once(submission_of(request), content_of(request), work)


def was_made(submission: UUID) -> bool:
    """Whether the change of this submission was made before."""
    return Submission.objects.filter(pk=submission).exists()


def outcome_before(request: Request) -> Any:
    """What came of this form when it was sent before, for what must not even begin a second time; None where it is new.

    Raises SubmissionReused and BadRequest as `submitted` does.
    """
    return submitted(request, _nothing) if was_made(submission_of(request)) else None


def _nothing() -> None:
    """What is left to do of a change that was made."""


def content_of(request: Request) -> list[Any]:
    """What was sent, to whom and by whom, in a form that JSON can hold."""
    fields = sorted((name, values) for name, values in request.POST.lists() if name not in NOT_CONTENT)
    files = sorted((name, [_digest(file) for file in files]) for name, files in request.FILES.lists())
    return [request.path, getattr(request, "who", ""), fields, files]


def _digest(file: Any) -> str:
    digest = hashlib.sha256()
    for chunk in file.chunks():
        digest.update(chunk)
    file.seek(0)
    return digest.hexdigest()
