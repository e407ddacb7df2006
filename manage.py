#!/usr/bin/env python3
"""The door of Tanbark: sets itself up on the first run, then is Django's.

python3 manage.py up      serve a contest from this laptop
python3 manage.py test    run every test
"""

import os
import sys

from contest import bootstrap


def main():
    # Comes back only under the Python of .venv, with everything installed that the command needs.
    bootstrap.open_door(sys.argv)

    # What is printed is seen at once, also through a pipe, and no console chokes on a name that it has no letters for.
    for stream in (sys.stdout, sys.stderr):
        stream.reconfigure(line_buffering=True, errors="replace")

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "contest.settings")
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except KeyboardInterrupt:
        sys.exit(130)


if __name__ == "__main__":
    main()
