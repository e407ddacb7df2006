"""What `up` needs to serve a contest: the data folder, the static files, the addresses and the server."""

import errno
import io
import ipaddress
import json
import multiprocessing
import os
import secrets
import shutil
import socket
from pathlib import Path

import ifaddr
import segno
from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command
from granian import Granian
from granian.constants import HTTPModes, Interfaces
from granian.log import LogLevels

# Interfaces that lead to containers and virtual machines on this laptop, where no judge will ever be.
VIRTUAL = ("docker", "br-", "veth", "virbr", "vmnet", "vboxnet", "vEthernet")


class CannotServe(Exception):
    """Says what is in the way and how to mend it."""


def prepare_data_folder(folder: Path) -> None:
    """Make the folder that holds all state, with its secret key, readable by this user alone."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    make_secret(folder / "secret-key", secrets.token_urlsafe(50))


def make_secret(path: Path, value: str) -> None:
    # Moved into place whole: a half-written key would be taken for a key ever after.
    if path.exists():
        return
    half = path.with_name(path.name + ".half")
    half.unlink(missing_ok=True)
    with open(os.open(half, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="ascii") as file:
        file.write(value + "\n")
    half.replace(path)


def collect_static() -> bool:
    """Collect and compress the static files if any changed since the last time; says whether it did."""
    seen = settings.STATIC_ROOT / "collected-from.json"
    now = fingerprint()
    try:
        if json.loads(seen.read_text(encoding="utf-8")) == now:
            return False
    except (OSError, ValueError):
        pass
    shutil.rmtree(settings.STATIC_ROOT, ignore_errors=True)
    call_command("collectstatic", interactive=False, verbosity=0)
    seen.write_text(json.dumps(now), encoding="utf-8")
    return True


def fingerprint() -> list[list]:
    files = []
    for finder in get_finders():
        for name, storage in finder.list([]):
            status = os.stat(storage.path(name))
            files.append([name, status.st_size, status.st_mtime_ns])
    return sorted(files)


def listening_address(host: str, port: int) -> str:
    """The numeric address of `host`; raises CannotServe unless a server could listen there."""
    try:
        family, kind, protocol, _name, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        with socket.socket(family, kind, protocol) as probe:
            if os.name == "posix":  # on Windows this would let two servers share a port
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(address)
            probe.listen()
    except PermissionError as error:
        raise CannotServe(f"Port {port} is reserved for the system. Choose another: --port 8000") from error
    except OSError as error:
        if error.errno == errno.EADDRINUSE:
            message = (
                f"Port {port} is in use, perhaps by a Tanbark that is already running. "
                f"Stop that one, or choose another port: --port {port + 1}"
            )
        else:
            message = f"{host} is no address of this machine ({error.strerror}). Leave --host out to listen everywhere."
        raise CannotServe(message) from error
    return str(address[0])


def lan_addresses() -> list[str]:
    """This machine's own IPv4 addresses on local networks, the likeliest first. Asks nobody."""
    usual = usual_address()
    found = []
    for adapter in ifaddr.get_adapters():
        virtual = adapter.nice_name.startswith(VIRTUAL)
        for ip in adapter.ips:
            if ip.is_IPv4 and not ipaddress.ip_address(ip.ip).is_loopback:
                link_local = ipaddress.ip_address(ip.ip).is_link_local
                found.append((ip.ip != usual, virtual, link_local, len(found), ip.ip))
    return [address for *_rank, address in sorted(found)]


def usual_address() -> str:
    """The address that traffic to other machines leaves from; empty without a network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("10.255.255.255", 9))  # only picks a route: connecting a datagram socket sends nothing
            return probe.getsockname()[0]
        except OSError:
            return ""


def urls(host: str, port: int) -> tuple[str, list[str]]:
    """The address for this machine's own browser, and those for everybody else's."""
    if host in {"0.0.0.0", "::"}:  # noqa: S104
        return f"http://localhost:{port}/", [f"http://{address}:{port}/" for address in lan_addresses()]
    shown = f"[{host}]" if ":" in host else host
    only = f"http://{shown}:{port}/"
    try:
        is_loopback = ipaddress.ip_address(host).is_loopback
    except ValueError:
        is_loopback = host == "localhost"
    return only, [] if is_loopback else [only]


def qr_code(text: str, encoding: str) -> str:
    """`text` as a QR code to print in a terminal; empty where the terminal lacks the characters for it."""
    drawn = io.StringIO()
    segno.make(text, micro=False).terminal(drawn, compact=True, border=2)
    try:
        drawn.getvalue().encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return ""
    return drawn.getvalue()


def serve(host: str, port: int) -> None:
    """Serve until Ctrl-C or SIGTERM."""
    # The server's process starts from nothing on every platform, rather than as a copy of this one on some: it reads
    # the secret key that this process has only just made.
    multiprocessing.set_start_method("spawn", force=True)
    Granian(
        "contest.wsgi:application",
        address=host,
        port=port,
        interface=Interfaces.WSGI,
        http=HTTPModes.http1,
        websockets=False,
        # One process, because SQLite has one write lock and one process can hand it round fairly; a few threads, so
        # that reads go on meanwhile.
        workers=1,
        blocking_threads=4,
        blocking_threads_idle_timeout=600,  # the longest there is: a thread's end would cost its database connection
        respawn_failed_workers=True,
        workers_kill_timeout=5,  # seconds for what is under way when it is told to stop
        log_level=LogLevels.warning,
    ).serve()
