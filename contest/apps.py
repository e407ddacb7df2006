from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate


class ContestConfig(AppConfig):
    name = "contest"

    def ready(self):
        from contest import checks  # noqa: F401 -- registers them
        from contest.history.triggers import drop_triggers, make_triggers
        from contest.trail.triggers import keep_triggers

        post_migrate.connect(keep_triggers, sender=self, dispatch_uid="trail")
        pre_migrate.connect(drop_triggers, sender=self)
        post_migrate.connect(make_triggers, sender=self)
