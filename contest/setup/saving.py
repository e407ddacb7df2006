"""Making the change that a form asks for, once, and saying beside the right field why it cannot be made."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.utils.translation import gettext as _

from contest.changes import SubmissionReused
from contest.changes.exceptions import ChangedMeanwhile, NotPossible, WrongValue
from contest.setup.forms import SetUpForm
from contest.web.requests import Request
from contest.web.submissions import submitted
from scoring.core.explain import as_sentence

SAVED, WRONG, CONFLICT = 303, 422, 409


def saved(request: Request, form: SetUpForm, change: Callable[[dict[str, Any]], Any]) -> tuple[int, Any]:
    """Make the change with what was typed: (SAVED, its outcome), or WRONG or CONFLICT with the form saying why.

    After CONFLICT the form has `theirs`, how it is now, where that is what stands in the way. `change` returns what
    JSON can hold.
    """
    if form.is_valid():
        try:
            return SAVED, submitted(request, lambda: change(form.values()))
        except WrongValue as wrong:
            form.add_error(wrong.field if wrong.field in form.fields else None, as_sentence(wrong))
        except ChangedMeanwhile as changed:
            form.theirs = changed.theirs
            return CONFLICT, None
        except NotPossible as refused:
            form.add_error(None, as_sentence(refused))
            return CONFLICT, None
        except SubmissionReused:
            told = _("This page was sent once before, with something else in it. Check it and save again.")
            form.add_error(None, told)
    form.point_at_first_error()
    return WRONG, None
