"""One data key per client, wrapped by the master key."""

from django.db import models


class DataKey(models.Model):
    """A 256-bit key that encrypts one client's events and working documents.

    ``wrapped`` is nonce + AES-GCM of the key under the master key named by
    ``master_key_id``, bound to ``id`` and ``subject``; it is emptied when the key is destroyed.
    ``canary``: of the practice's own key alone, see ``practice.keys.canary``.
    """

    id = models.UUIDField(primary_key=True)
    subject = models.UUIDField(db_index=True)
    wrapped = models.BinaryField()
    master_key_id = models.CharField(max_length=16)
    created_at = models.DateTimeField()
    destroyed_at = models.DateTimeField(null=True)
    canary = models.BinaryField(null=True)

    def __str__(self) -> str:
        return f"data key {self.id}"
