"""Takes away what only POSIX has, as far as Python itself can do without it here: see ../test_other_systems.py."""

import os
import sys

MODULES = ("fcntl", "resource", "pwd", "grp", "termios")
CALLS = ("nice", "fork", "forkpty", "geteuid", "getuid", "getegid", "getgid", "sched_setscheduler", "sched_param")
CALLS += ("setsid", "killpg", "getpgid", "setpgid", "mkfifo", "getloadavg")

for name in MODULES:
    sys.modules[name] = None
for name in CALLS:
    if hasattr(os, name):
        delattr(os, name)
