"""What every page costs in a full contest: `python -m tests.bench.bench_pages`.

1 500 contestants, 36 000 readings, 500 doubts: every address that answers GET is asked for, as the superintendent and
as every duty and stranger to whom it is open. Per page: the median and the worst time warm, the same directly after a
reading, statements, and kB unpacked. A page over TARGET_MS or TARGET_KB is marked. `--doubts 7136` is a wild load;
`--only WORD` picks addresses. Files to download are no pages, and are listed for what they cost a hall.

Times are the processor's: what else the machine does is not counted. The floor of the same run is one tally.
"""

import argparse
import os
import statistics
import tempfile
import time
from functools import partial
from importlib import import_module

TARGET_MS = 200
TARGET_KB = 300
ROUNDS = 5
PER_ABSENT = 12  # doubts of somebody absent who handed everything in: one a card


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--contestants", type=int, default=1500)
    parser.add_argument("--doubts", type=int, default=500)
    parser.add_argument("--only", default="")
    parser.add_argument("--all", action="store_true", help="list every page, not only the slow and the large ones")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        set_up(folder)
        from tests.bench.full_contest import make_full_contest

        wild = max(0, options.doubts - 500) // PER_ABSENT
        contest = make_full_contest(options.contestants, min(options.doubts, 500), wild)
        print(f"{options.contestants} contestants, {doubts_in(contest)} doubts; one tally {tally_ms(contest):.0f} ms")
        over = [row for row in measured(contest, options.only) if told(row, options.all)]
        print(f"{len(over)} pages over {TARGET_MS} ms or {TARGET_KB} kB (target: none)")


def set_up(folder):
    os.environ |= {"TANBARK_DATA": folder, "DJANGO_SETTINGS_MODULE": "contest.settings"}
    import django

    django.setup()
    from django.conf import settings
    from django.core.management import call_command

    from contest import data_folder
    from contest.serving.static import collect_static

    import_module("contest.wsgi")  # leaves the garbage collector as it is in the server
    data_folder.prepare(settings.DATA_FOLDER)
    call_command("migrate", verbosity=0)
    collect_static()


def doubts_in(contest):
    from contest.watch.waiting import doubt_count

    return doubt_count(contest)


def tally_ms(contest):
    from contest.records.tallying import tallied
    from scoring.core.tally import tally

    record = tallied(contest).record
    return min(timed(lambda: tally(record))[0] for _ in range(ROUNDS))


def timed(work):
    began = time.process_time()
    made = work()
    return (time.process_time() - began) * 1000, made


def clients(contest):
    """Whoever may ask, by name."""
    from django.test import Client

    from contest.access import SESSION_NAME
    from contest.helpers.joining import let_in
    from contest.models import Duty
    from tests.accounts import an_account

    superintendent = Client()
    superintendent.force_login(an_account())
    yield "superintendent", superintendent
    for duty in Duty:
        client = Client()
        session = client.session
        session[SESSION_NAME] = let_in(contest, duty, f"{duty.value} at the bench").pk
        session.save()
        yield duty.value, client
    yield "stranger", Client()


def measured(contest, only):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    from tests.addresses import addresses, values_of

    leaving = ("/leave/", "/sign-out/")
    places = [where for where in addresses(values_of(contest)) if only in where and where not in leaving]
    for who, client in clients(contest):
        for where in places:
            first, answer = timed(partial(client.get, where))
            if answer.status_code == 200:
                body = answer.getvalue()
                is_page = answer.headers["Content-Type"].startswith("text/html")
                get = partial(got, client, where)
                warm = [timed(get)[0] for _ in range(ROUNDS)]
                fresh = []
                for _ in range(ROUNDS):
                    a_reading(contest)
                    fresh.append(timed(get)[0])
                a_reading(contest)
                with CaptureQueriesContext(connection) as statements:
                    get()
                yield who, where, is_page, first, warm, fresh, len(statements), len(body) / 1000


def got(client, where):
    return client.get(where).getvalue()


def a_reading(contest):
    """What a desk does a few times each second, as far as pages know of it."""
    from contest.models import Touches
    from contest.trail import record_change, sentence

    what = sentence("card_read", judged=1, contestant=contest.contestants.values_list("number", flat=True).last())
    record_change(contest, "bench", what, touches=Touches.CARDS)


def told(row, everything):
    who, where, page, first, warm, fresh, statements, size = row
    slow = max(statistics.median(warm), statistics.median(fresh)) > TARGET_MS
    large = size > TARGET_KB
    marked = page and (slow or large)
    if everything or slow or large:
        mark = "OVER" if marked else "file" if not page else ""
        print(
            f"{mark:<5}{statistics.median(warm):6.0f} {max(warm):6.0f} warm  {statistics.median(fresh):6.0f} "
            f"{max(fresh):6.0f} after a reading  {first:6.0f} first  {statements:4d} statements {size:8.0f} kB  "
            f"{who:<15}{where}",
            flush=True,
        )
    return marked


if __name__ == "__main__":
    main()
