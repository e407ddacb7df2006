"""Tanbark reads UTF-8 alone, and says so before Django makes a request of what came.

Django takes the character set that a request names on trust: it decodes by whatever codec Python knows, among them some
that are none of text, and fails where it makes the request, past every page that could say why.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any

from django.utils.http import parse_header_parameters

Application = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]

NAMED = re.compile(r""";\s*charset\s*=\s*("[^"]*"|[^;]*)""", re.IGNORECASE)
UTF_8 = {"utf-8", "utf8"}
WHY = b"Nothing was done. It is not written in UTF-8, the only character set that Tanbark reads.\n"


def only_utf_8(application: Application) -> Application:
    """The application, which is never asked to read anything else."""

    def answer(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        _type, parameters = parse_header_parameters(environ.get("CONTENT_TYPE", ""))
        if "charset" not in parameters:
            return application(environ, start_response)
        if parameters["charset"].lower().replace("_", "-") in UTF_8:
            return application({**environ, "CONTENT_TYPE": NAMED.sub("", environ["CONTENT_TYPE"])}, start_response)
        start_response("415 Unsupported Media Type", [("Content-Type", "text/plain; charset=utf-8")])
        return [WHY]

    return answer
