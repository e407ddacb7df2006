"""Single sign-on by OpenID Connect, where the settings name a provider: it says who somebody is, and never who may in.

An account is found by the provider and the subject there, which stay; an e-mail address, which can be given to somebody
else, counts for nothing. Whoever is known to no account has shown who they are (`proved`), and that is all: an
invitation lets them in, or their own account, where they are signed in, takes it.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import timedelta
from functools import cache
from typing import Any

from django.conf import settings
from django.contrib.auth.models import User
from django.http import HttpResponse
from django.shortcuts import resolve_url
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _

from contest.changes import changes
from contest.changes.exceptions import NotPossible
from contest.helpers.superintendents import note_account
from contest.models import SignOn
from contest.models.helpers import NAME_LENGTH
from contest.trail import sentence
from contest.web.requests import Request

PROVED = "proved-elsewhere"
"""In the session: who the provider says this is, and when it did."""
GOOD_FOR = timedelta(minutes=10)
PATIENCE = 10
"""Seconds for an answer of the provider: a thread waits for it."""
LEEWAY = 60
"""Seconds by which clocks may differ."""
LONGEST_SUBJECT = 255
"""Characters, by OpenID Connect Core 1.0, section 2."""
ALGORITHMS = ["RS256", "RS384", "RS512", "PS256", "PS384", "PS512", "ES256", "ES384", "ES512"]
"""Signatures by a key that the provider alone has, whatever it says of itself."""


class NotVouchedFor(Exception):
    """Raised where an answer does not show who somebody is; says why, for the log."""


@dataclass(frozen=True)
class KnownAs:
    """Who somebody is to the provider."""

    issuer: str
    subject: str
    name: str

    @property
    def called(self) -> str:
        return self.name or self.subject


def provider_name() -> str:
    """What pages call the provider; empty where there is none."""
    if not settings.SINGLE_SIGN_ON:
        return ""
    return settings.SINGLE_SIGN_ON["name"] or _("single sign-on")


def way_there(back_to: str) -> str:
    """Where a link leads that asks the provider, and then comes back to a page of ours."""
    return resolve_url("sign_in_elsewhere") + (f"?{urlencode({'next': back_to})}" if back_to else "")


def ask(request: Request) -> HttpResponse:
    """Send somebody to the provider, with a state, a nonce and a proof key whose other halves the session keeps."""
    from authlib.integrations.base_client import OAuthError
    from requests import RequestException

    try:
        back: HttpResponse = _client().authorize_redirect(
            request, request.build_absolute_uri(resolve_url("back_from_elsewhere"))
        )
    except (OAuthError, RequestException, RuntimeError, ValueError) as problem:
        raise NotVouchedFor(str(problem)) from problem
    return back


def who_came_back(request: Request) -> KnownAs:
    """Who the provider says this is: its answer to this very session, signed by a key of its own, for us, and fresh."""
    from authlib.integrations.base_client import OAuthError
    from joserfc.errors import JoseError
    from requests import RequestException

    client, ours = _client(), settings.SINGLE_SIGN_ON
    try:
        client.load_server_metadata()["id_token_signing_alg_values_supported"] = ALGORITHMS
        token = client.authorize_access_token(
            request,
            leeway=LEEWAY,
            claims_options={
                "iss": {"essential": True, "value": ours["issuer"]},
                "aud": {"essential": True, "value": ours["client_id"]},
                "sub": {"essential": True},
                "nonce": {"essential": True},
            },
        )
    except (OAuthError, JoseError, RequestException, RuntimeError, ValueError, KeyError) as problem:
        raise NotVouchedFor(f"{type(problem).__name__}: {problem}") from problem
    claims = token.get("userinfo")
    if not claims or len(str(claims["sub"])) > LONGEST_SUBJECT:
        raise NotVouchedFor("the answer says nothing of who it is")
    name = str(claims.get("name") or claims.get("preferred_username") or "")
    return KnownAs(ours["issuer"], str(claims["sub"]), name[:NAME_LENGTH])


@cache
def _client() -> Any:
    from authlib.integrations.django_client import OAuth

    ours = settings.SINGLE_SIGN_ON
    return OAuth().register(
        "provider",
        client_id=ours["client_id"],
        client_secret=ours["client_secret"],
        server_metadata_url=ours["issuer"].rstrip("/") + "/.well-known/openid-configuration",
        client_kwargs={"scope": "openid profile", "code_challenge_method": "S256", "default_timeout": PATIENCE},
    )


def forget_provider() -> None:
    """Ask the provider anew for its keys and addresses: for tests."""
    _client.cache_clear()


def account_of(known_as: KnownAs) -> User | None:
    """The account that signs in so; None for somebody who is known to none, or whose account is switched off."""
    users = User.objects.filter(is_active=True, sign_on__issuer=known_as.issuer, sign_on__subject=known_as.subject)
    return users.first()


@changes
def connect(user: User, known_as: KnownAs) -> None:
    """Let an account be signed in to by whoever is known so. Raises NotPossible where another account is."""
    if SignOn.objects.filter(issuer=known_as.issuer, subject=known_as.subject).exclude(user=user).exists():
        raise NotPossible(_("another account signs in so already"))
    SignOn.objects.update_or_create(user=user, defaults={"issuer": known_as.issuer, "subject": known_as.subject})
    note_account(user.get_username(), sentence("sign_on_added"), user)


@changes
def disconnect(user: User, by: str) -> None:
    """Raises NotPossible where nobody could sign in to the account then."""
    if not user.has_usable_password():
        raise NotPossible(_("{account} has no password; give it one first").format(account=user))
    if SignOn.objects.filter(user=user).delete()[0]:
        note_account(by, sentence("sign_on_removed"), user)


def remember_proof(request: Request, known_as: KnownAs) -> None:
    request.session[PROVED] = [asdict(known_as), timezone.now().timestamp()]


def proved(request: Request) -> KnownAs | None:
    """Who the provider said just now that this is."""
    known_as, at = request.session.get(PROVED, (None, 0))
    fresh = timezone.now().timestamp() - at <= GOOD_FOR.total_seconds()
    return KnownAs(**known_as) if known_as and fresh and settings.SINGLE_SIGN_ON else None


def forget_proof(request: Request) -> None:
    request.session.pop(PROVED, None)
