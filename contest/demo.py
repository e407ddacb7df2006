"""The invented contests that a first start shows: one that is over, and one that is being judged."""

from django.conf import settings

DEMO_BOOK = settings.BASE_DIR / "fixtures" / "demo"
DEMO_DAY_BOOK = settings.BASE_DIR / "fixtures" / "demo-day"
