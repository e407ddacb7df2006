"""How fast the pages of a large contest's results are made: `python -m tests.bench.bench_pages`.

All 1 500 contestants are in one division, so that each list has a row for each of them. Times are the processor's, the
best of several; the floor in the same run is one tally of the contest.
"""

import os
import tempfile
from dataclasses import replace
from importlib import import_module

from scoring.record import Record
from scoring.tally import tally
from tests.bench.bench_tally import best, report
from tests.bench.large_contest import large_record

CONTESTANTS = 1500
ROUNDS = 5


def main():
    record = in_one_division(large_record(CONTESTANTS))
    floor = best(lambda: tally(record))
    with tempfile.TemporaryDirectory() as folder:
        for what, work in pages(folder, record):
            work()
            report(what, best(work, ROUNDS), "one tally", floor)


def in_one_division(record: Record) -> Record:
    (division, *_) = record.divisions
    only = (division.code,)
    return replace(
        record,
        rules=replace(record.rules, show_people_as="name"),
        divisions=(division,),
        classes=tuple(replace(one, divisions=only, reasons=only if one.reasons else ()) for one in record.classes),
        parts=tuple(replace(part, divisions=only) for part in record.parts),
        contestants=tuple(contestant._replace(division=division.code) for contestant in record.contestants),
    )


def pages(folder, record):
    """What is measured, each as a call that makes it once more."""
    os.environ["TANBARK_DATA"] = folder
    os.environ["DJANGO_SETTINGS_MODULE"] = "contest.settings"
    import django

    django.setup()
    from django.conf import settings
    from django.contrib.auth.models import User
    from django.core.cache import cache
    from django.core.management import call_command
    from django.test import Client

    from contest import data_folder
    from contest.models import Contest
    from contest.records import save_record
    from contest.serving.static import collect_static
    from scoring.results.links import make_links
    from scoring.results.release import release_results, still_to_accept
    from scoring.standings import tallied

    import_module("contest.wsgi")  # leaves the garbage collector as it is in the server
    data_folder.prepare(settings.DATA_FOLDER)
    call_command("migrate", verbosity=0)
    collect_static()
    contest = save_record(record, by="bench")
    client = Client()
    client.force_login(User.objects.create_user("superintendent"))

    def page(address, status=200):
        def work():
            assert client.get(address).status_code == status

        return work

    start = f"/contests/{contest.pk}"
    team, person = contest.divisions.get().teams.first(), contest.contestants.first()
    yield "A list", page(f"{start}/standings/{record.divisions[0].code}/overall/")
    yield "One contestant", page(f"{start}/standings/contestants/{person.number}/")
    yield "One team", page(f"{start}/standings/{record.divisions[0].code}/teams/{team.pk}/")
    yield "The checklist", page(f"{start}/results/")
    yield "The workbook", page(f"{start}/results/results.xlsx")
    release_results(contest, "bench", [item.key for item in still_to_accept(contest, tallied(contest))])
    make_links(Contest.objects.get(pk=contest.pk), "bench")
    yield "A page of links", page(f"{start}/results/links/")

    def public():
        cache.clear()
        page(f"/results/{contest.pk}/")()

    yield "A public list, made anew", public
    yield "A public list, made before", page(f"/results/{contest.pk}/")


if __name__ == "__main__":
    main()
