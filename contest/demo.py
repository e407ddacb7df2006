"""The invented contest that a first start shows."""

from django.conf import settings

DEMO_BOOK = settings.BASE_DIR / "fixtures" / "demo"
