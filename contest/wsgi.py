"""What the application server serves."""

import gc
import os
import sys
from importlib import import_module

from django.core.wsgi import get_wsgi_application

from contest.web.charset import only_utf_8

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "contest.settings")
django_application = get_wsgi_application()
desks_first = import_module("contest.changes.desks_first").desks_first  # Django is set up only now
application = only_utf_8(desks_first(django_application))

# What is loaded now stays: the garbage collector need not walk through it each time a tally makes many objects.
gc.freeze()
# A tally and the pages made of it are a million objects, and to walk through them all holds up every reading for as
# long as ten of them take. What a request leaves in circles is young when it is left, and the first two rounds find it.
gc.set_threshold(20_000, 20, 1_000)

# A reading lets go of the interpreter at each statement, and a page that is being made beside it holds on to it for as
# long as this each time: with Python's own 5 ms the twenty statements that a reading had became 100 ms.
sys.setswitchinterval(0.00005)
