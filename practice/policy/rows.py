"""What the practice's own tables have in common."""

from __future__ import annotations

from uuid import uuid4

from django.db import models


class RevisionedModel(models.Model):
    """A row of the practice: an id and a revision that counts its changes.

    The revision is the ETag of the row. Changes go through
    ``practice.policy.change_log``, which keeps what stood before.
    """

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    revision = models.PositiveIntegerField(default=1)

    class Meta:
        """No table of its own."""

        abstract = True
