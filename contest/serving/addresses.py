"""Where Tanbark listens, and how everybody is told."""

import errno
import io
import ipaddress
import os
import socket
from typing import Any

import ifaddr
import segno
from django.conf import settings

from contest.serving import CannotServe
from scoring.core.texts import gettext as _

# Interfaces that lead to containers and virtual machines on this laptop, where no judge will ever be.
VIRTUAL = ("docker", "br-", "veth", "virbr", "vmnet", "vboxnet", "vEthernet")

EVERYWHERE = {"0.0.0.0", "::"}  # noqa: S104
listening_on = "0.0.0.0"  # noqa: S104 -- the serving process says so where `up --host` has it otherwise


def bound_socket(host: str, port: int) -> socket.socket:
    """A socket that has the port but does not listen yet; raises CannotServe where none can be had."""
    try:
        family, kind, protocol, _name, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        bound = socket.socket(family, kind, protocol)
        try:
            if os.name == "posix":
                bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            else:  # on Windows the same option would let two servers share a port, and this one forbids it
                bound.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)  # type: ignore[attr-defined]  # only there
            bound.bind(address)
        except BaseException:
            bound.close()
            raise
    except OSError as error:
        raise CannotServe(explain(error, host, port)) from error
    return bound


def explain(error: OSError, host: str, port: int) -> str:
    is_refused = isinstance(error, PermissionError)
    if error.errno == errno.EADDRINUSE or (is_refused and os.name == "nt"):  # Windows calls both by the same name
        return _(
            "Port {port} is in use, perhaps by a Tanbark that is already running. Stop that one, or choose "
            "another port: --port {next}"
        ).format(port=port, next=port + 1)
    if is_refused:
        return _("Port {port} is reserved for the system. Choose another: --port 8000").format(port=port)
    return _("{host} is no address of this machine ({strerror}). Leave --host out to listen everywhere.").format(
        host=host, strerror=error.strerror
    )


def lan_addresses() -> list[str]:
    """This machine's own IPv4 addresses on local networks, the likeliest first. Asks nobody."""
    usual = usual_address()
    addresses: list[tuple[Any, ...]] = []
    for adapter in ifaddr.get_adapters():
        virtual = adapter.nice_name.startswith(VIRTUAL)
        for ip in adapter.ips:
            if ip.is_IPv4 and not (address := ipaddress.ip_address(str(ip.ip))).is_loopback:
                addresses.append((ip.ip != usual, virtual, address.is_link_local, len(addresses), ip.ip))
    return [address for *_rank, address in sorted(addresses)]


def answering(host: str) -> list[str]:
    """The addresses of this machine at which other devices are answered by whoever listens on `host`."""
    if host in EVERYWHERE:
        return lan_addresses()
    try:
        is_loopback = ipaddress.ip_address(host).is_loopback
    except ValueError:
        is_loopback = host == "localhost"
    return [] if is_loopback else [host]


def usual_address() -> str:
    """The address that traffic to other machines leaves from; empty without a network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("10.255.255.255", 9))  # only picks a route: connecting a datagram socket sends nothing
            own: str = probe.getsockname()[0]
            return own
        except OSError:
            return ""


def urls(host: str, port: int) -> tuple[str, list[str]]:
    """The address for this machine's own browser, and those for everybody else's."""
    others = [f"http://{in_url(address)}:{port}/" for address in answering(host)]
    return f"http://{'localhost' if host in EVERYWHERE else in_url(host)}:{port}/", others


def by_the_proxy() -> str:
    """The address by which people come through a proxy that serves https; empty without one, or without its name."""
    return f"https://{settings.EXTRA_HOSTS[0]}/" if settings.HTTPS and settings.EXTRA_HOSTS else ""


def in_url(address: str) -> str:
    return f"[{address}]" if ":" in address else address


def qr_code(text: str, encoding: str) -> str:
    """`text` as a QR code to print in a terminal; empty where the terminal lacks the characters for it."""
    drawn = io.StringIO()
    segno.make(text, micro=False).terminal(drawn, compact=True, border=2)
    try:
        drawn.getvalue().encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return ""
    return drawn.getvalue()
