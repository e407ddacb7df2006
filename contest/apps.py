from django.apps import AppConfig


class ContestConfig(AppConfig):
    name = "contest"

    def ready(self):
        from contest import checks  # noqa: F401 -- registers them
