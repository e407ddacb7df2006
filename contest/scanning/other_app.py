"""What is kept of scanned cards besides rows that stay: pages that wait or are on their way, and pictures. Names stand
on both."""

from __future__ import annotations

from collections.abc import Callable

from django.db import transaction

from contest.models import CardPicture, Contest, Scan
from contest.other_apps import OtherApp
from contest.scanning import arriving
from contest.scanning.folder import drop, files_of_all
from contest.scanning.jobs import line


def files_of(contest: Contest) -> list[str]:
    return [*files_of_all(contest), *arriving.files_of_all(contest)]


def make_anonymous(contest: Contest, called: Callable[[str], str]) -> Callable[[str], None]:
    """Pictures go, and pages that were not read yet: nobody can take a name out of handwriting."""

    def in_the_turn(by: str) -> None:
        CardPicture.objects.filter(card__scan__contest=contest).delete()
        unread = contest.scans.exclude(state=Scan.State.DONE)
        unread.update(state=Scan.State.CANCELLED)
        for scan in unread:
            transaction.on_commit(lambda scan=scan: drop(scan))  # type: ignore[misc]  # each its own
        for delivery in arriving.deliveries_of(contest):
            transaction.on_commit(delivery.give_up)

    return in_the_turn


SCANNING = OtherApp(files_of, make_anonymous=make_anonymous, lines=(line,))
