"""The table of jobs."""

from uuid import uuid4

from django.db import models

from practice.core.jobs import JobOrder


class ScheduledJob(models.Model):
    """Something to be done at a time, written with the event that causes it.

    ``subject`` is the client, or the practice itself; ``about`` what of theirs the work is
    about, e.g. a re-check. ``key`` makes it once per occasion. A claimed row belongs to the
    worker that holds ``claim`` until ``lease_until``; an expired lease is simply due again.
    ``order`` is a JobOrder. ``first_failed_at`` is the first failure since it was planned or
    put back. The row says nothing clinical: a kind, ids and times.
    """

    class Status(models.TextChoices):
        """Where the work stands."""

        WAITING = "waiting"
        DONE = "done"
        WITHDRAWN = "withdrawn"
        GIVEN_UP = "given_up"
        NOT_WANTED = "not_wanted"

    id = models.BigAutoField(primary_key=True)
    kind = models.CharField(max_length=40)
    key = models.CharField(max_length=120, unique=True)
    subject = models.UUIDField(db_index=True)
    about = models.UUIDField()
    occasion = models.CharField(max_length=80, blank=True)
    order = models.PositiveSmallIntegerField(default=JobOrder.ORDINARY)
    due_at = models.DateTimeField()
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.WAITING)
    attempts = models.PositiveSmallIntegerField(default=0)
    first_failed_at = models.DateTimeField(null=True)
    claim = models.UUIDField(null=True)
    lease_until = models.DateTimeField(null=True)
    done_at = models.DateTimeField(null=True)
    last_error = models.CharField(max_length=200, blank=True)

    class Meta:
        """What a tick and the health check read: waiting rows by order and time; what the
        owner's list reads: the rows, and those in one state, by time."""

        indexes = (
            models.Index(
                fields=("order", "due_at", "id"),
                name="due_waiting",
                condition=models.Q(status="waiting"),
            ),
            models.Index(fields=("kind", "about", "status"), name="job_by_what"),
            models.Index(fields=("due_at", "id"), name="job_by_due"),
            models.Index(fields=("status", "due_at", "id"), name="job_by_status"),
        )
        # A row of another order would never be claimed.
        constraints = (
            models.CheckConstraint(
                condition=models.Q(order__in=[one.value for one in JobOrder]),
                name="job_order_known",
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"


class TickMark(models.Model):
    """One row: when a worker last looked for what is due."""

    id = models.PositiveSmallIntegerField(primary_key=True)
    at = models.DateTimeField()

    def __str__(self) -> str:
        return self.at.isoformat()


class LongTask(models.Model):
    """Work that takes minutes: asked for over HTTP, done by a job, piece by piece.

    ``reached`` is where the next piece begins (after that id); ``result`` is JSON, and whole
    when ``finished_at`` is set.
    """

    id = models.UUIDField(primary_key=True, default=uuid4)
    kind = models.CharField(max_length=40)
    requested_by = models.UUIDField()
    requested_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)
    total = models.PositiveIntegerField()
    done = models.PositiveIntegerField(default=0)
    reached = models.UUIDField(null=True)
    result = models.JSONField(default=dict)

    def __str__(self) -> str:
        return f"{self.kind} {self.done}/{self.total}"
