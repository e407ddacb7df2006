from collections.abc import Callable

from django.apps import AppConfig
from django.db.backends.signals import connection_created
from django.db.models.signals import post_migrate, pre_migrate


class ContestConfig(AppConfig):
    name = "contest"

    def ready(self) -> None:
        from django.utils import formats, translation

        from contest import checks  # noqa: F401 -- registers them
        from contest.changes import held
        from contest.entries import bringing as entries
        from contest.models import animals, one_contest, one_organisation, wall
        from contest.other_apps import OTHER_APPS, OtherApp
        from contest.practice import bringing as practice
        from contest.row_changes import triggers
        from contest.scanning.other_app import SCANNING
        from contest.setup import bringing as setup
        from contest.trail.triggers import keep_triggers
        from contest.uploads.other_app import UPLOADS
        from scoring.core import texts

        texts.speak(translation, lambda: str(formats.get_format("DECIMAL_SEPARATOR")))
        purposes: dict[str, Callable[..., None]] = {
            setup.NAME: setup.make_contest,
            entries.NAME: entries.show_entries,
            practice.PRACTICE: practice.make_practice,
            practice.PHOTOGRAPH: practice.put_photograph,
        }
        OTHER_APPS.extend((SCANNING, UPLOADS, OtherApp(purposes=purposes)))
        post_migrate.connect(keep_triggers, sender=self, dispatch_uid="trail")
        for made in (triggers, one_contest, one_organisation, animals):
            pre_migrate.connect(made.drop_triggers, sender=self)
            post_migrate.connect(made.make_triggers, sender=self)
        pre_migrate.connect(wall.drop_policies, sender=self)
        post_migrate.connect(wall.make_policies, sender=self)
        connection_created.connect(held.notice_soon)
        connection_created.connect(wall.watch)
