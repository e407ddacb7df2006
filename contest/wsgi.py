"""What the application server serves."""

import gc
import multiprocessing
import os
import signal
import threading

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "contest.settings")
application = get_wsgi_application()

# What is loaded now stays: the garbage collector need not walk through it each time a tally makes many objects.
gc.freeze()


def stop_with(parent):
    parent.join()
    os.kill(os.getpid(), signal.SIGTERM)


# If `up` is killed outright it cannot stop this process, which would serve on unseen and hold the port for good.
if multiprocessing.parent_process():
    threading.Thread(target=stop_with, args=[multiprocessing.parent_process()], daemon=True).start()
