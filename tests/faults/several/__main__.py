"""See the package."""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import signal
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

import tests.faults.several
from tests.faults.several.hosts import HERE, Network, a_store, database_at, run_on_hosts
from tests.postgres import private_server

SECRET = "the secret that all processes of this run have in common"
SHORT = "a small contest, and troubles in quick succession: for the tests"


def main() -> None:
    parser = argparse.ArgumentParser(description=tests.faults.several.__doc__)
    parser.add_argument("--seconds", type=float, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--short", action="store_true", help=SHORT)
    parser.add_argument("--hosts", action="store_true", help="each on a host of its own; needs root and iproute2")
    parser.add_argument(
        "--update", action="store_true", help="each is replaced by a newer version, and nobody is killed"
    )
    parser.add_argument("--network", help=argparse.SUPPRESS)  # of the hosts, at one of which this runs
    options = parser.parse_args()
    os.environ |= {"DJANGO_SETTINGS_MODULE": "contest.settings", "TANBARK_SEVERAL": "1", "TANBARK_SECRET_KEY": SECRET}
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(128 + signal.SIGTERM))  # a stop from outside unwinds like Ctrl-C
    if options.hosts and not options.network:
        sys.exit(run_on_hosts(sys.argv[1:]))
    with tempfile.TemporaryDirectory(prefix="tanbark-faults-") as name, contextlib.ExitStack() as stack:
        folder, network = Path(name), None
        if options.network:
            network = Network(options.network)
            host = database_at(network)
            url = stack.enter_context(private_server(durable=True, address=host.address, within=host.within))
            stack.enter_context(a_store(network, folder))
        else:
            url = stack.enter_context(private_server(durable=True))
            os.environ["TANBARK_FILES"] = str(folder / "files")
        os.environ |= {"DATABASE_URL": url, "TANBARK_DATA": str(folder / "own")}
        (folder / "own").mkdir()
        run(url, folder, options, network)


def run(url: str, folder: Path, options: argparse.Namespace, network: Network | None) -> None:
    import django

    django.setup()
    from tests.contest.processes.versions import a_newer_version
    from tests.faults.several.counting import count
    from tests.faults.several.processes import Process
    from tests.faults.several.site import Size, a_site
    from tests.faults.several.troubles import Troubles
    from tests.faults.several.update import DRAIN, update

    def process(kind: str, name: str) -> Process:
        host = network.host(name) if network else HERE
        return Process(kind, folder / name, url, host, drain=DRAIN if options.update else 0.0)

    servers = [process("serve", name) for name in ("app1", "app2")]
    workers = [process("work", name) for name in ("work1", "work2")]
    size, pause = (Size(100, 3, (1.5, 3), 2), (0.5, 1.5)) if options.short else (Size(), (2.0, 8.0))
    if network:  # it takes longer, as who is cut off is for long
        size = replace(size, pace=1.0, papers=(12, 28))
    if options.update:
        size = replace(size, contestants=1500, read=18_000)
    begun = time.monotonic()
    with a_site(servers, workers, size, options.seed) as site:
        made = time.monotonic()
        with site.busy():
            if options.update:
                update(site, a_newer_version(folder / "newer"), pause=options.seconds / 5)
            else:
                Troubles(site, pause, network).go_on(options.seconds)
        worked = time.monotonic()
        counts = count(site, each_worker=not options.short)
    print(f"seed {options.seed}, {worked - made:.0f} s, load {os.getloadavg()[0]:.1f}: {counts}")
    print(f"{made - begun:.0f} s to make, {time.monotonic() - worked:.0f} s to count")
    print(json.dumps({**vars(counts), "wrong": counts.wrong}))
    sys.exit(1 if counts.wrong else 0)


if __name__ == "__main__":
    main()
