from django.apps import AppConfig


class ReasonsConfig(AppConfig):
    name = "reasons"

    def ready(self) -> None:
        from contest.other_apps import OTHER_APPS, OtherApp
        from reasons.day.search import line

        OTHER_APPS.append(OtherApp(lines=(line,)))
