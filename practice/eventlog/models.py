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
    effective_at = models.DateTimeField()
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


class IdempotencyRecord(models.Model):
    """The answer once given to a key, kept a day and sealed."""

    caller = models.UUIDField()
    key = models.CharField(max_length=200)
    fingerprint = models.CharField(max_length=64)
    expires_at = models.DateTimeField(db_index=True)
    key_id = models.UUIDField(null=True)
    answer = models.BinaryField(null=True)

    class Meta:
        """A key belongs to its caller."""

        constraints = (
            models.UniqueConstraint(fields=("caller", "key"), name="idempotency_caller_key"),
        )

    def __str__(self) -> str:
        return f"answer to {self.caller}"


class AccessEntry(models.Model):
    """Who read a client's record, or was refused: ids, the path without its query, the time."""

    class Outcome(models.TextChoices):
        """What came of it."""

        READ = "read"
        REFUSED = "refused"

    id = models.BigAutoField(primary_key=True)
    at = models.DateTimeField(db_index=True)
    staff_id = models.UUIDField(null=True)
    client_id = models.UUIDField(null=True, db_index=True)
    what = models.CharField(max_length=120)
    outcome = models.CharField(max_length=8, choices=Outcome.choices)
    code = models.CharField(max_length=80, blank=True)
    request_id = models.CharField(max_length=64)

    def __str__(self) -> str:
        return f"{self.outcome} {self.what}"


class ReadTable(models.Model):
    """Base of every table that projectors keep and ``rebuild`` can make again."""

    id = models.UUIDField(primary_key=True)
    client_id = models.UUIDField(db_index=True)
    version = models.PositiveIntegerField()

    class Meta:
        """No table of its own."""

        abstract = True
