"""Whether this machine can make PDFs at all."""

from __future__ import annotations

import subprocess
import sys

_found: list[str] = []


def pdf_problem() -> str:
    """Why no PDF can be made here, in words; empty if it can.

    Asked of a process of its own, so that the server need not load the library. A machine that can is asked once.
    """
    if not _found:
        asked = subprocess.run(
            [sys.executable, "-c", "import weasyprint"], capture_output=True, text=True, check=False, timeout=60
        )
        if asked.returncode:
            last = (asked.stderr.strip().splitlines() or ["it cannot be loaded"])[-1]
            return last.partition(": ")[2] or last
        _found.append("")
    return _found[0]
