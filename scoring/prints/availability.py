"""Whether this machine can make PDFs at all."""

from __future__ import annotations

import subprocess
import sys

from django.utils.translation import gettext as _

from contest.bootstrap.needs import PRINTS

_able: list[bool] = []


def pdf_problem() -> str:
    """Why no PDF can be made here, and what would help; empty if it can.

    Asked of a process of its own, so that the server need not load the library. A machine that can is asked once.
    """
    if not _able:
        asked = subprocess.run([sys.executable, "-c", "import weasyprint"], capture_output=True, timeout=60)
        if asked.returncode:
            lacking = [package.name for package in PRINTS if not package.present()]
            if lacking:
                words = _("it lacks {packages} (Debian’s names). Install that and load this page again")
                return words.format(packages=", ".join(lacking))
            return _("its PDF library cannot be loaded")
        _able.append(True)
    return ""
