"""Hosts of a run, as network namespaces of this machine, and the wires between them.

A site's two networks: on one people and screens reach whoever serves, on the other are PostgreSQL and the bucket. Both
switches stand at the host of the people, where this run's own process is; so nothing of the machine's own network is
touched. A wire is cut at the switch, as a cable is that somebody pulls: nobody is told.
"""

from __future__ import annotations

import contextlib
import os
import pwd
import signal
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import boto3
from botocore.exceptions import BotoCoreError

from tests.postgres import server_user
from tests.waiting import eventually

FRONT, BACK = "front", "back"
NETWORKS = {FRONT: "10.77.1", BACK: "10.77.2"}
HOSTS = {"people": 1, "db": 2, "store": 3, "app1": 11, "app2": 12, "work1": 21, "work2": 22}
"""Each with the last number of its addresses."""
SERVES = ("app1", "app2")
STORE_PORT = 9000


@dataclass(frozen=True)
class Host:
    """Where a process runs: its address, what goes before a command to have it run there, and what it is called."""

    address: str = "127.0.0.1"
    within: tuple[str, ...] = ()
    name: str = ""


HERE = Host()


class CannotMakeHosts(Exception):
    """Says why, in words."""


class Network:
    """All hosts of a run, known by a prefix."""

    def __init__(self, prefix: str) -> None:
        self.prefix = prefix

    def host(self, name: str, user: str | None = None) -> Host:
        """A host of PostgreSQL's network, or of both; what runs there is `user`'s, or one's own."""
        network = FRONT if name in SERVES else BACK
        within = ["nsenter", f"--net=/run/netns/{self._namespace(name)}"]
        if user:
            known = pwd.getpwnam(user)
            within += [f"--setuid={known.pw_uid}", f"--setgid={known.pw_gid}"]
        return Host(f"{NETWORKS[network]}.{HOSTS[name]}", tuple(within), name)

    @contextlib.contextmanager
    def cut(self, name: str, networks: Sequence[str]) -> Iterator[None]:
        """A host's wires to these networks, for as long as the block runs."""
        self._set(name, networks, "down")
        try:
            yield
        finally:
            self._set(name, networks, "up")

    def _set(self, name: str, networks: Sequence[str], state: str) -> None:
        for network in networks:
            ip("-n", self._namespace("people"), "link", "set", f"{name}-{network}", state)

    def forget_connections(self, name: str) -> None:
        """As a host does that loses its power: whoever is at the other end is told nothing, now or later."""
        run("ss", "--net", self._namespace(name), "--tcp", "--all", "--kill")

    def _namespace(self, name: str) -> str:
        return f"{self.prefix}-{name}"

    def make(self) -> None:
        """Raises CannotMakeHosts."""
        people = self._namespace("people")
        for name in HOSTS:
            ip("netns", "add", self._namespace(name))
            ip("-n", self._namespace(name), "link", "set", "lo", "up")
        for network, addresses in NETWORKS.items():
            # Its own address, or it would have another whenever a wire is cut.
            ip("-n", people, "link", "add", network, "address", "02:00:00:00:00:01", "type", "bridge")
            ip("-n", people, "address", "add", f"{addresses}.{HOSTS['people']}/24", "dev", network)
            ip("-n", people, "link", "set", network, "up")
        for name in set(HOSTS) - {"people"}:
            for network in networks_of(name):
                self._wire(name, network)

    def _wire(self, name: str, network: str) -> None:
        people, there = self._namespace("people"), self._namespace(name)
        plug = f"{name}-{network}"
        ip("-n", people, "link", "add", plug, "type", "veth", "peer", "name", network, "netns", there)
        ip("-n", people, "link", "set", plug, "master", network, "up")
        ip("-n", there, "address", "add", f"{NETWORKS[network]}.{HOSTS[name]}/24", "dev", network)
        ip("-n", there, "link", "set", network, "up")

    def take_down(self) -> None:
        """With whatever still runs on a host."""
        for namespace in [line.split()[0] for line in ip("netns", "list").splitlines()]:
            if namespace.startswith(f"{self.prefix}-"):
                for pid in ip("netns", "pids", namespace).split():
                    with contextlib.suppress(ProcessLookupError):
                        os.kill(int(pid), signal.SIGKILL)
                ip("netns", "delete", namespace)


@contextlib.contextmanager
def a_network() -> Iterator[Network]:
    """Made for as long as the block runs, and taken down however that ends. Raises CannotMakeHosts."""
    network = Network(f"tanbark-{os.getpid()}")
    try:
        network.make()
        yield network
    finally:
        with contextlib.suppress(CannotMakeHosts):
            network.take_down()


def networks_of(name: str) -> tuple[str, ...]:
    return (FRONT, BACK) if name in SERVES else (BACK,)


def ip(*words: str) -> str:
    return run("ip", *words)


def run(*words: str) -> str:
    """What a command says. Raises CannotMakeHosts."""
    try:
        return subprocess.run(words, check=True, capture_output=True, text=True).stdout
    except FileNotFoundError as problem:
        raise CannotMakeHosts(f"there is no `{words[0]}` here: install iproute2 and util-linux") from problem
    except subprocess.CalledProcessError as problem:
        raise CannotMakeHosts(f"{' '.join(words)}: {problem.stderr.strip()}") from problem


def run_on_hosts(arguments: Sequence[str]) -> int:
    """Run this very command at the host of the people of a network made for it; its exit code."""
    try:
        with a_network() as network:
            people = network.host("people").within
            program = [*people, sys.executable, "-m", "tests.faults.several", *arguments, "--network", network.prefix]
            with subprocess.Popen(program) as inside:
                try:
                    return inside.wait()
                finally:
                    inside.terminate()  # where this is stopped: it ends what it began, and is waited for
    except CannotMakeHosts as problem:
        print(f"Hosts are network namespaces, which cannot be made here: {problem}", file=sys.stderr)
        return 2


def database_at(network: Network) -> Host:
    return network.host("db", user=server_user())


@contextlib.contextmanager
def a_store(network: Network, folder: Path) -> Iterator[None]:
    """A bucket at a host of its own, and in the environment what programs are told of it."""
    host = network.host("store")
    endpoint = f"http://{host.address}:{STORE_PORT}"
    keys = {"ACCESS_KEY_ID": "invented", "SECRET_ACCESS_KEY": "invented", "DEFAULT_REGION": "us-east-1"}
    os.environ |= {f"AWS_{name}": value for name, value in {**keys, "ENDPOINT_URL": endpoint}.items()}
    os.environ["TANBARK_FILES"] = "s3://fair/files"
    with open(folder / "store.said", "w") as said:
        program = [*host.within, sys.executable, "-m", "moto.server", "-H", host.address, "-p", str(STORE_PORT)]
        store = subprocess.Popen(program, stdout=said, stderr=said)
    try:
        eventually(_bucket_made)
        yield
    finally:
        store.terminate()
        store.wait()


def _bucket_made() -> bool:
    with contextlib.closing(boto3.client("s3")) as client, contextlib.suppress(BotoCoreError):
        client.create_bucket(Bucket="fair")
        return True
    return False
