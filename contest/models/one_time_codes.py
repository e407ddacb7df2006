"""One-time codes: what a superintendent's account asks for besides its password, where they set it up."""

from django.conf import settings
from django.db import models
from django.db.models import UniqueConstraint


class OneTimeKey(models.Model):
    """The key that an account shares with the app that makes its codes. It counts once a first code confirmed it.

    `last_step` is that of the last code that counted, so that each counts once. After `wrong` codes in a row none is
    looked at until `closed_until`. The key itself is kept as it is, for codes are made of it: whoever has the database
    has it, and a copy brings it along.
    """

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="one_time_key")
    secret = models.CharField(max_length=64)
    confirmed_at = models.DateTimeField(null=True, blank=True)
    last_step = models.PositiveBigIntegerField(default=0)
    wrong = models.PositiveIntegerField(default=0)
    closed_until = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"of {self.user_id}"


class RecoveryCode(models.Model):
    """What counts once instead of a code, where the app is lost; only its digest is kept, until it is used."""

    key = models.ForeignKey(OneTimeKey, models.CASCADE, related_name="recovery_codes", db_index=False)
    digest = models.CharField(max_length=64)

    class Meta:
        ordering = ["pk"]
        constraints = [UniqueConstraint(fields=["key", "digest"], name="recovery_code_once")]

    def __str__(self) -> str:
        return f"of {self.key_id}"
