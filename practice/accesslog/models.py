"""Tables of the log, and the base of every read table."""

from django.db import models


class AccessEntry(models.Model):
    """Who read a client's record, or was refused: ids, the path without its query, the time."""

    class Outcome(models.TextChoices):
        """What came of it."""

        READ = "read"
        REFUSED = "refused"

    id = models.BigAutoField(primary_key=True)
    occurred_at = models.DateTimeField()
    staff_id = models.UUIDField(null=True)
    client_id = models.UUIDField(null=True)
    what = models.CharField(max_length=120)
    outcome = models.CharField(max_length=8, choices=Outcome.choices)
    code = models.CharField(max_length=80, blank=True)
    request_id = models.CharField(max_length=64)
    asked = models.BinaryField(null=True)  # what a search asked for, sealed; see services

    class Meta:
        """By time: all, of one client, of one account, and what was refused."""

        indexes = (
            models.Index(fields=("occurred_at", "id"), name="access_by_time"),
            models.Index(fields=("client_id", "occurred_at", "id"), name="access_of_client"),
            models.Index(fields=("staff_id", "occurred_at", "id"), name="access_of_staff"),
            models.Index(
                fields=("occurred_at", "id"),
                name="access_refused",
                condition=models.Q(outcome="refused"),
            ),
        )

    def __str__(self) -> str:
        return f"{self.outcome} {self.what}"
