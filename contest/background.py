"""Work in a process of its own beside the server, so that no desk waits for it."""

from __future__ import annotations

import os
import subprocess
import sys

from django.conf import settings


def start_child(module: str) -> subprocess.Popen[str]:
    """Start a module, to be told what to do on its input and heard on its output, both text.

    The child itself steps back behind all other work, where the system has no way to say so at the start.
    """
    lower = {"creationflags": subprocess.BELOW_NORMAL_PRIORITY_CLASS} if os.name == "nt" else {}
    return subprocess.Popen(
        [sys.executable, "-m", module],
        cwd=settings.BASE_DIR,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        encoding="utf-8",
        **lower,
    )
