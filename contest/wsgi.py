"""What the application server serves."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "contest.settings")
application = get_wsgi_application()
