"""The table of jobs."""

from django.db import models


class ScheduledJob(models.Model):
    """Something to be done at a time, written with the event that causes it.

    ``subject`` is the client, or the practice itself; ``about`` what of theirs the work is
    about, e.g. a re-check. ``key`` makes it once per occasion. A claimed row belongs to the
    worker that holds ``claim`` until ``lease_until``; an expired lease is simply due again. The
    row says nothing clinical: a kind, ids and times.
    """

    class Status(models.TextChoices):
        """Where the work stands."""

        WAITING = "waiting"
        DONE = "done"
        WITHDRAWN = "withdrawn"
        GIVEN_UP = "given_up"

    id = models.BigAutoField(primary_key=True)
    kind = models.CharField(max_length=40)
    key = models.CharField(max_length=120, unique=True)
    subject = models.UUIDField(db_index=True)
    about = models.UUIDField()
    occasion = models.CharField(max_length=80, blank=True)
    due_at = models.DateTimeField()
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    claim = models.UUIDField(null=True)
    lease_until = models.DateTimeField(null=True)
    done_at = models.DateTimeField(null=True)
    last_error = models.CharField(max_length=200, blank=True)

    class Meta:
        """The index that a tick reads: waiting rows by time."""

        indexes = (
            models.Index(
                fields=("due_at",), name="due_waiting", condition=models.Q(status="waiting")
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"
