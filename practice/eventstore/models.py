"""Tables of the log, and the base of every read table."""

from django.db import models


class StreamHead(models.Model):
    """Where a client's stream stands; its row is the lock that writers queue on."""

    stream = models.UUIDField(primary_key=True)
    version = models.PositiveIntegerField(default=0)
    mac = models.BinaryField(default=b"")
    recorded_at = models.DateTimeField(null=True)
    starts_at_version = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return f"{self.stream} at {self.version}"


class StoredEvent(models.Model):
    """One event in its envelope. Rows are never changed; triggers see to it.

    ``position`` is a reading order only. ``(stream, version)`` is the truth.
    """

    position = models.BigIntegerField(primary_key=True)
    stream = models.UUIDField()
    version = models.PositiveIntegerField()
    type = models.CharField(max_length=80)
    type_version = models.PositiveSmallIntegerField()
    occurred_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    actor = models.UUIDField()
    request_id = models.CharField(max_length=64)
    key_id = models.UUIDField()
    ciphertext = models.BinaryField()
    mac_key_id = models.CharField(max_length=16)
    mac = models.BinaryField()

    class Meta:
        """The unique key that makes two writers of one version impossible."""

        constraints = (
            models.UniqueConstraint(fields=("stream", "version"), name="event_stream_version"),
        )

    def __str__(self) -> str:
        return f"{self.type} {self.stream}@{self.version}"


class PositionCounter(models.Model):
    """Where the engine has no sequences, the last position given out."""

    id = models.PositiveSmallIntegerField(primary_key=True)
    value = models.BigIntegerField()

    def __str__(self) -> str:
        return str(self.value)
