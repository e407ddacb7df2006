from django.apps import AppConfig


class ScoringConfig(AppConfig):
    name = "scoring"

    def ready(self) -> None:
        from contest.other_apps import OTHER_APPS
        from scoring.kept import KEPT

        OTHER_APPS.append(KEPT)
