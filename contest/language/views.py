"""Choosing a language, and the texts that scripts say."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.conf import settings
from django.http import Http404, HttpResponseBase
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import override
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_POST, require_safe
from django.views.i18n import JavaScriptCatalog, set_language

from contest.access import open_to_all
from contest.language.catalogs import folders
from contest.web.requests import Request

KEPT_FOR = 365 * 24 * 60 * 60  # seconds; the address has the texts' digest in it


@open_to_all
@require_safe
def languages(request: Request) -> HttpResponseBase:
    """The languages there are, each named in itself; `next` goes back to where somebody came from."""
    wanted = request.GET.get("next") or request.headers.get("Referer", "")
    back = wanted if url_has_allowed_host_and_scheme(wanted, {request.get_host()}, request.is_secure()) else "/"
    return render(request, "contest/language/language.html", {"next": back})


@open_to_all
@require_POST
def choose(request: Request) -> HttpResponseBase:
    """Keep the chosen language on this device alone."""
    return set_language(request)


@open_to_all
@require_safe
@cache_control(public=True, max_age=KEPT_FOR, immutable=True)
def texts(request: Request, language: str, digest: str) -> HttpResponseBase:
    """The texts of our scripts in a language, as functions that scripts call (`gettext`, `ngettext`)."""
    if language not in dict(settings.LANGUAGES):
        raise Http404("There is no such language.")
    with override(language):
        return Texts.as_view()(request)


class Texts(JavaScriptCatalog):
    """Django's own catalog of texts, which looks into LOCALE_PATHS too."""

    def get_paths(self, packages: Iterable[str] | None) -> list[Any]:
        return list(folders())
