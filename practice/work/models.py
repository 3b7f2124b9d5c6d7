"""Tables of the log, and the base of every read table."""

from django.db import models


class IdempotencyRecord(models.Model):
    """The answer once given to a key, kept a day and encrypted."""

    caller = models.UUIDField()
    key = models.CharField(max_length=200)
    fingerprint = models.CharField(max_length=64)
    expires_at = models.DateTimeField(db_index=True)
    key_id = models.UUIDField(null=True)
    response = models.BinaryField(null=True)

    class Meta:
        """A key belongs to its caller."""

        constraints = (
            models.UniqueConstraint(fields=("caller", "key"), name="idempotency_caller_key"),
        )

    def __str__(self) -> str:
        return f"answer to {self.caller}"


class PracticeStamp(models.Model):
    """One row whose stamp is another after each change of the practice's own rows.

    Triggers alone set it (``practice/policy/stamps.py``), at random: a number would come again
    after a transaction that was rolled back, or a restored backup.
    """

    id = models.PositiveSmallIntegerField(primary_key=True)
    stamp = models.CharField(max_length=36)

    def __str__(self) -> str:
        return self.stamp


class ReadTableBuild(models.Model):
    """How the rows of a read table were made when all of them were last made.

    ``table``: the label of its model. ``version``: of its projection. ``columns``: the table's
    columns then. What the program has otherwise now, no row from before has
    (``practice/work/read_table_builds.py``).
    """

    table = models.CharField(max_length=80, primary_key=True)
    version = models.PositiveIntegerField()
    columns = models.JSONField()
    built_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.table} as of version {self.version}"


class ReadTable(models.Model):
    """Base of every table that projectors keep and ``rebuild`` can make again."""

    id = models.UUIDField(primary_key=True)
    client_id = models.UUIDField(db_index=True)
    version = models.PositiveIntegerField()

    class Meta:
        """No table of its own."""

        abstract = True
