"""How templates are read: as they are indented for people, and sent without that."""

from __future__ import annotations

import re

from django.template import Origin
from django.template.loaders.filesystem import Loader

INDENTED = re.compile(r"\n\s+")
LOADING = re.compile(r"({% load [^%]*%})\n")
ROUND = re.compile(r"({% for [^%]*%})")


class WithoutIndentation(Loader):
    """Leaves out what a template's lines begin with, and empty lines, of those that only load tags too: a fifth of a
    long list, and never seen.

    It is done once for each template, when it is read. No template of ours has preformatted text in it. Each round of a
    loop begins by letting desks go first (`contest.templatetags.desks_first`).
    """

    def get_contents(self, origin: Origin) -> str:
        contents = LOADING.sub(r"\1", INDENTED.sub("\n", super().get_contents(origin)))
        return ROUND.sub(r"\1{% desks_first %}", contents)
