"""What the site itself shows of a contest's results to whoever asks, and at which addresses."""

from __future__ import annotations

from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import gettext as _

from contest.models import Contest
from scoring.announced.held_back import holds_back
from scoring.announced.released import Released, released
from scoring.models import Release
from scoring.results.public import Site
from scoring.results.publishing import STYLES


def shown_to_all(contest: Contest) -> Released | None:
    """What was announced and may be read by all: nothing yet while the awards are still to be read from the stage."""
    return None if holds_back(contest) else released(contest)


def is_withdrawn(contest: Contest) -> bool:
    """Whether something was announced of which nothing stands any more."""
    return contest.releases.exists() and not Release.standing(contest).exists()


def site_of(contest: Contest, announced: Released | None = None, live: bool = True) -> Site:
    """The site's public addresses of a contest. Pages that are not `live` ask for nothing newer and search nothing."""
    downloads: tuple[tuple[str, str], ...] = ()
    if announced:
        downloads = (
            (_("CSV files, zipped"), reverse("public-file", args=[contest.pk, "zip"])),
            (_("Workbook (.xlsx)"), reverse("public-file", args=[contest.pk, "xlsx"])),
        )
    return Site(
        start=reverse("public-results", args=[contest.pk]),
        list_address=lambda division, code: reverse("public-list", args=[contest.pk, division, code]),
        class_address=lambda number: reverse("public-class", args=[contest.pk, number]),
        styles=tuple(static(style) for style in STYLES[:-1]),
        print_style=static(STYLES[-1]),
        icon=static("mark.svg"),
        downloads=downloads,
        live=live,
    )
