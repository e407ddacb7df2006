"""The process that lays out the page for a parent: told its HTML on its input. Run by `scoring.season.paper` alone."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

from contest.background import end_with_the_server, step_back
from scoring.prints.child import LOOK_NICE, explain, put_in_place, say


def main() -> None:
    order = json.loads(sys.stdin.readline())
    step_back(LOOK_NICE)
    end_with_the_server()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "contest.settings")

    import django
    from django.utils import translation

    django.setup()
    translation.activate(order["language"])
    try:
        from scoring.prints.rendering import render_pdf

        put_in_place(Path(order["out"]), render_pdf(order["html"]))
    except Exception as problem:
        say(problem=explain(problem))
        sys.exit(1)


if __name__ == "__main__":
    main()
