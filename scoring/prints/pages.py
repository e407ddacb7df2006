"""What the print pages show."""

from __future__ import annotations

import hashlib
from typing import Any

from django.conf import settings
from django.utils.timezone import localtime
from django.utils.translation import get_language_info, gettext_lazy, ngettext
from django.utils.translation import gettext as _

from contest.models import Contest
from scoring.models import PrintJob
from scoring.prints.catalogue import DOCUMENTS
from scoring.prints.choice import INDIVIDUALS, PAPERS, TEAMS, Choice, choice_from
from scoring.prints.forms import PrintForm
from scoring.prints.jobs import KEPT, OPEN, so_far, waits_for_the_machine

WHEN = {
    "before": gettext_lazy("Before"),
    "during": gettext_lazy("While it runs"),
    "after": gettext_lazy("Afterwards"),
}

LETTER_COUNTRIES = ("America/", "US/", "Canada/", "Pacific/Honolulu")


def usual_paper() -> str:
    """The paper that a printer here is likely to hold."""
    return "letter" if settings.TIME_ZONE.startswith(LETTER_COUNTRIES) else "a4"


def sections(form: PrintForm) -> list[dict[str, Any]]:
    """The documents by when they are needed, each with its own choice of order."""
    chosen = form["documents"].value() or []
    return [
        {
            "name": when,
            "when": title,
            "documents": [
                {
                    "document": document,
                    "look": _("Look at {title}").format(title=document.title),
                    "chosen": document.name in chosen,
                    "order": form.orders(document),
                }
                for document in DOCUMENTS.values()
                if document.when == when
            ],
        }
        for when, title in WHEN.items()
    ]


def jobs_shown(contest: Contest) -> dict[str, Any]:
    """The last jobs, and what tells one state of them from another."""
    jobs = list(contest.print_jobs.all()[:KEPT])
    facts = [(job.pk, job.state, so_far(job), waits_for_the_machine(job)) for job in jobs]
    return {
        "jobs": [_job(job) for job in jobs],
        "busy": any(job.state in OPEN for job in jobs),
        "version": hashlib.sha256(repr(facts).encode()).hexdigest()[:12],
    }


def _job(job: PrintJob) -> dict[str, Any]:
    document = DOCUMENTS.get(job.document)
    done, total, prepared = so_far(job)
    return {
        "pk": job.pk,
        "title": document.title if document else job.document,
        "choice": choice_label(choice_from(job.choice)),
        "at": localtime(job.at),
        "revision": job.revision,
        "state": job.state,
        "state_words": job.get_state_display(),
        "is_open": job.state in OPEN,
        "done": done,
        "total": total,
        "prepared": prepared,
        "bar": (done, total) if done else None if prepared is None else (prepared, 100),
        "waits": waits_for_the_machine(job),
        "problem": job.problem and _(job.problem),
    }


def choice_label(choice: Choice) -> str:
    """What was chosen, where it differs from everything on one copy."""
    told = [str(PAPERS[choice.paper])]
    if choice.copies > 1:
        told.append(ngettext("{count} copy", "{count} copies", choice.copies).format(count=choice.copies))
    if len(choice.kinds) == 1:
        told.append({INDIVIDUALS: _("contestants only"), TEAMS: _("teams only")}[choice.kinds[0]])
    told += [*choice.lists, *choice.teams]
    if choice.classes:
        words = ngettext("class {numbers}", "classes {numbers}", len(choice.classes))
        told.append(words.format(numbers=", ".join(map(str, choice.classes))))
    if choice.numbers:
        more = ", …" if len(choice.numbers) > 6 else ""
        words = ngettext("number {numbers}", "numbers {numbers}", len(choice.numbers))
        told.append(words.format(numbers=", ".join(map(str, choice.numbers[:6])) + more))
    if choice.changed:
        told.append(_("only what changed"))
    if choice.places:
        told.append(ngettext("{count} place", "{count} places", choice.places).format(count=choice.places))
    if choice.spares:
        told.append(ngettext("{count} spare", "{count} spares", choice.spares).format(count=choice.spares))
    if choice.first:
        told.append(_("from {number}").format(number=choice.first))
    if choice.language:
        told.append(get_language_info(choice.language)["name_local"])
    return "; ".join(told)
