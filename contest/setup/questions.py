"""What a part with questions may be set up with."""

from __future__ import annotations

from django.utils.translation import gettext as _

from contest.book.outline import LARGEST_POINTS
from contest.book.text import hundredths
from contest.changes.exceptions import WrongValue
from contest.models import Part
from contest.setup.values import Values
from scoring.core.placing import why_not_labels
from scoring.core.points import written_hundredths
from scoring.core.questions import FEWEST_OPTIONS, FEWEST_QUESTIONS, MOST_OPTIONS, MOST_QUESTIONS
from scoring.core.record import HUNDREDTHS


def check_questions(values: Values) -> None:
    """Raise WrongValue where a part cannot have these questions, by the name of the field that is to be mended."""
    count, options = values["questions"], values["options"]
    if not FEWEST_QUESTIONS <= count <= MOST_QUESTIONS:
        told = _("a part has {fewest} to {most} questions")
        raise WrongValue("questions", told.format(fewest=FEWEST_QUESTIONS, most=MOST_QUESTIONS))
    if problem := why_not_labels(options):
        raise WrongValue("options", problem)
    if not FEWEST_OPTIONS <= len(options) <= MOST_OPTIONS:
        told = _("a question offers {fewest} to {most} answers, each with its letter, such as ABCD or TF")
        raise WrongValue("options", told.format(fewest=FEWEST_OPTIONS, most=MOST_OPTIONS))
    figures = values["worth"].split()
    if len(figures) not in (1, count):
        told = _("{figures} figures for {count} questions: type one for all, or one for each")
        raise WrongValue("worth", told.format(figures=len(figures), count=count))
    points = [figure for text in figures if isinstance(figure := hundredths(text), int)]
    if len(points) < len(figures) or not all(points):
        raise WrongValue("worth", _("type points such as 2 or 2.5, each more than 0"))
    total = sum(points) * (count if len(points) == 1 else 1)
    if total % HUNDREDTHS or total > LARGEST_POINTS * HUNDREDTHS:
        told = _("together they come to {points}: a part gives whole points, up to {most}")
        raise WrongValue("worth", told.format(points=written_hundredths(total), most=LARGEST_POINTS))
    if values["animals"]:
        raise WrongValue("questions", _("a part is either keep/cull or has questions"))
    if values["scope"] != Part.Scope.INDIVIDUAL:
        raise WrongValue("scope", _("answers are each contestant’s own"))
