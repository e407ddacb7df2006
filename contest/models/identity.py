"""What tells this database from every other."""

from __future__ import annotations

from uuid import UUID, uuid4

from django.db import models


class Identity(models.Model):
    """The one row with the database's own id; its data folder names it too, and so does every copy."""

    one = models.BooleanField(primary_key=True, default=True)
    uuid = models.UUIDField(default=uuid4)

    class Meta:
        verbose_name_plural = "identities"
        constraints = [models.CheckConstraint(condition=models.Q(one=True), name="identity_is_one")]

    def __str__(self) -> str:
        return str(self.uuid)


def own_id() -> UUID:
    """The database's id, made where it has none yet."""
    return Identity.objects.get_or_create(one=True)[0].uuid
