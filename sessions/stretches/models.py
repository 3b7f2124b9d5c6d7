"""Read tables of the stretches: prescriptions, re-checks, home exercises."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.work.models import ReadTable


class Prescription(ReadTable):
    """A stretch prescribed to a client. ``status``: prescribed, active, discharged, ended.

    ``start_in_error``: why the session in which it last started was entered in error.
    """

    stretch = models.CharField(max_length=60)
    name = models.TextField()
    catalogue_version = models.PositiveIntegerField()
    side = models.CharField(max_length=32)
    techniques = models.JSONField()
    doses = models.JSONField()
    movements = models.JSONField()
    findings = models.JSONField()
    eases_pain = models.BooleanField()
    dose_warnings = models.JSONField()
    reason = models.TextField()
    facility_id = models.UUIDField(null=True)
    status = models.CharField(max_length=32)
    prescribed_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True)
    start_in_error = models.TextField(default="")
    active_since = models.DateTimeField(null=True)
    discharged_at = models.DateTimeField(null=True)
    discharged_on = models.DateField(null=True)
    at_goal = models.BooleanField(null=True)
    discharge_reason = models.TextField(default="")
    references = models.JSONField(default=list)
    resumed = models.PositiveIntegerField(default=0)
    resumed_reason = models.TextField(default="")
    ended_at = models.DateTimeField(null=True)
    ended_reason = models.TextField(default="")

    class Meta(ReadTable.Meta):
        abstract = False


class Recheck(ReadTable):
    """A re-check and where it stands; the front desk's call list, without degrees.

    ``status`` is a RecheckStatus. ``evaluations`` is clinical.
    """

    prescription_id = models.UUIDField()
    facility_id = models.UUIDField(null=True)
    practitioner_id = models.UUIDField(null=True)
    months = models.PositiveSmallIntegerField()
    due_on = models.DateField()
    due_at = models.DateTimeField()
    call_at = models.DateTimeField()
    status = models.CharField(max_length=32)
    on_call_list_at = models.DateTimeField(null=True)
    channel = models.CharField(max_length=32, default="")
    covered_by_session_id = models.UUIDField(null=True)
    closed_at = models.DateTimeField(null=True)
    skipped_reason = models.TextField(default="")
    passed = models.BooleanField(default=False)
    refer = models.BooleanField(default=False)
    evaluations = models.JSONField(default=dict)

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["due_on", "id"], name="recheck_by_due"),
            models.Index(fields=["facility_id", "status", "due_on"], name="recheck_call_list"),
            models.Index(
                fields=["due_on", "id"],
                name="recheck_to_call",
                condition=models.Q(status="on_call_list"),
            ),
        ]


class HomeExercise(ReadTable):
    """A self-directed exercise assigned to the client; discontinued when it must stop."""

    prescription_id = models.UUIDField(null=True)
    stretch = models.CharField(max_length=60)
    name = models.TextField()
    catalogue_version = models.PositiveIntegerField()
    side = models.CharField(max_length=32)
    dose = models.JSONField()
    stop_signs = models.JSONField()
    assigned_on = models.DateField()
    assigned_by = models.UUIDField()
    session_id = models.UUIDField(null=True)
    discontinued_at = models.DateTimeField(null=True)
    discontinued_reason = models.TextField(default="")

    class Meta(ReadTable.Meta):
        abstract = False
