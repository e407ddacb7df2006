"""By which address other devices reach this laptop, and by which families at home reach its results.

The superintendent chooses once, on a page of the contest; every code, square and link is made of that. An address that
nobody could open is never handed out.
"""

from __future__ import annotations

from dataclasses import dataclass
from ipaddress import ip_address
from urllib.parse import urlsplit

from django.core.exceptions import ValidationError
from django.core.validators import URLValidator
from django.http.request import split_domain_port
from django.utils.translation import gettext as _

from contest.changes import changes, take_turn
from contest.changes.exceptions import NotPossible
from contest.models import Contest, Touches
from contest.serving import addresses as served
from contest.trail import record_change, sentence
from contest.web.requests import Request


@dataclass(frozen=True, slots=True)
class Reach:
    """The addresses of this laptop for other devices, without a path, the likeliest first.

    `chosen` is the name or number that the superintendent chose, empty where nobody did.
    """

    addresses: tuple[str, ...]
    chosen: str

    @property
    def base(self) -> str:
        """The one that is handed out; empty where no other device can reach this laptop."""
        return next((address for address in self.addresses if host_of(address) == self.chosen), "") or next(
            iter(self.addresses), ""
        )

    @property
    def is_gone(self) -> bool:
        """Whether what was chosen is no address of this laptop any more."""
        return bool(self.chosen) and self.chosen not in map(host_of, self.addresses)

    @property
    def others(self) -> list[str]:
        return [address for address in self.addresses if address != self.base]


def reach(request: Request, contest: Contest) -> Reach:
    return Reach(tuple(hall_addresses(request.get_host(), request.scheme)), contest.hall_address)


def hall_addresses(host: str, scheme: str | None) -> list[str]:
    """The addresses by which other devices reach this laptop, the likeliest first, without a path.

    `host` is how the superintendent's own browser calls it: that serves everybody, unless it is a name that means
    "this machine". Behind a proxy it is the only one. Empty when nobody else can reach the laptop.
    """
    name, port = split_domain_port(host)
    own = [] if _is_loopback(name) else [f"{scheme}://{host}"]
    if own and scheme == "https":
        return own
    end = f":{port}" if port else ""
    return list(
        dict.fromkeys(
            [*own, *(f"{scheme}://{served.in_url(there)}{end}" for there in served.answering(served.listening_on))]
        )
    )


def host_of(address: str) -> str:
    return split_domain_port(urlsplit(address).netloc)[0].strip("[]")


def only_address() -> str:
    """The one address that `up --host` listens on; empty where it listens in every network."""
    return "" if served.listening_on in served.EVERYWHERE else served.listening_on


@changes
def set_addresses(contest: Contest, by: str, hall: str, public: str) -> None:
    """Choose by which of its addresses this laptop is called ("" for the likeliest), and where families read results.

    Raises NotPossible for a public address that reaches nobody at home.
    """
    take_turn(contest.pk)
    contest.refresh_from_db()
    public = public_address(public)
    before = {"hall": contest.hall_address, "public": contest.public_address}
    after = {"hall": hall, "public": public}
    if before == after:
        return
    Contest.objects.filter(pk=contest.pk).update(hall_address=hall, public_address=public)
    record_change(contest, by, sentence("addresses_chosen"), before, after, touches=Touches.NOTHING)


def public_address(text: str) -> str:
    """An address as it is kept: with its scheme, without a file's name or a slash at its end. Raises NotPossible."""
    text = text.strip()
    if not text:
        return ""
    try:
        parts = urlsplit(text if "://" in text else f"https://{text}")
        address = f"{parts.scheme}://{parts.netloc}{parts.path.removesuffix('index.html').rstrip('/')}"
        URLValidator(schemes=["http", "https"])(address)
    except (ValueError, ValidationError):
        raise NotPossible(_("type an address such as https://example.org/fall")) from None
    if not _is_reached_from_home(parts.hostname or ""):
        raise NotPossible(
            _("{address} reaches nobody at home: type the address that the internet knows").format(address=address)
        )
    return address


def _is_reached_from_home(name: str) -> bool:
    try:
        return ip_address(name).is_global
    except ValueError:
        return (
            "." in name and not name.endswith((".local", ".lan", ".internal", ".home.arpa")) and not _is_loopback(name)
        )


def _is_loopback(name: str) -> bool:
    if name.rstrip(".") == "localhost":
        return True
    try:
        return ip_address(name.strip("[]")).is_loopback
    except ValueError:
        return False
