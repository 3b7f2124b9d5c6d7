"""Seals over batches of rows that are only ever added to."""

from django.db import models


class BatchSeal(models.Model):
    """An HMAC over the rows of a table up to ``last_id``, chained to the seal before it.

    Rows of it are never changed; triggers see to it.
    """

    id = models.BigAutoField(primary_key=True)
    table = models.CharField(max_length=60)
    number = models.PositiveIntegerField()
    last_id = models.BigIntegerField()
    rows = models.PositiveIntegerField()
    sealed_at = models.DateTimeField()
    mac = models.BinaryField()

    class Meta:
        """Each table's seals count from 1."""

        constraints = (models.UniqueConstraint(fields=("table", "number"), name="batch_seal_once"),)

    def __str__(self) -> str:
        return f"seal {self.number} of {self.table}"
