"""What the application server serves."""

import gc
import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "contest.settings")
application = get_wsgi_application()

# What is loaded now stays: the garbage collector need not walk through it each time a tally makes many objects.
gc.freeze()
