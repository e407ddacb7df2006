"""Pages that take long are made one at a time, so that nobody who reads cards waits for those who look at them.

All threads share one interpreter: a page that computes for 100 ms keeps it from the readings, which let go of it at
each statement and must get it back each time. One such page beside them they hardly feel; three are the whole machine,
and each page would be ready no sooner. So a page waits for the one before; readings, and pages that are made quickly,
such as those that ask whether there is anything new, pass by. It waits in the server's queue, `contest.serving.turns`,
and holds no thread meanwhile: however many people ask for such pages, the rest is answered.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import lru_cache
from typing import Any

from django.db import connection
from django.http import HttpResponse
from django.urls import Resolver404, resolve

from contest.changes.desks_first import let_desks_go_first
from contest.web.requests import Request

LONG = 0.02
"""Seconds of work from which on a page counts as one that takes long."""

FORGETS = 0.8
"""What is left each time of what a page once took: it may have been made anew for a change, or shown as it was."""

_took: dict[str, float] = {}


def is_heavy(method: str, path: str) -> bool:
    """Did the page at this address take long the last times?"""
    return method == "GET" and _took.get(_view_of(path), 0) > LONG


class HeavyPages:
    """Middleware. Which pages are heavy shows by itself, by what they took the last times."""

    def __init__(self, get_response: Callable[[Request], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: Request) -> HttpResponse:
        if request.method != "GET":
            return self.get_response(request)
        began = time.thread_time()  # what others do meanwhile does not count
        try:
            with connection.execute_wrapper(_desks_first):
                return self.get_response(request)
        finally:
            if request.resolver_match:
                _note(request.resolver_match.view_name, time.thread_time() - began)


def _desks_first(execute: Callable[..., Any], *statement: Any) -> Any:
    let_desks_go_first()
    return execute(*statement)


def _note(view: str, seconds: float) -> None:
    _took[view] = max(seconds, FORGETS * _took.get(view, 0))


@lru_cache(maxsize=1000)
def _view_of(path: str) -> str:
    try:
        return resolve(path).view_name
    except Resolver404:
        return ""


def forget_all() -> None:
    """Take no page for a heavy one: for tests."""
    _took.clear()
