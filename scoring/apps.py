from django.apps import AppConfig


class ScoringConfig(AppConfig):
    name = "scoring"

    def ready(self) -> None:
        from contest.other_apps import OTHER_APPS
        from scoring.other_app import SCORING

        OTHER_APPS.append(SCORING)
