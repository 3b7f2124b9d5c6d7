"""Signed notes as they read (a read table) and drafts (working documents, encrypted)."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.work.models import ReadTable
from sessions.notes.domain.co_signatures import OPEN


class Note(ReadTable):
    """A signed note with its addenda. Rows come from events and are never edited.

    Columns ``current_…`` hold what is counted with the corrections of all addenda; the
    others are as signed. ``entered_in_error``: why, empty where the note stands; ``…_by`` is the
    staff member. ``co_signature_acts``: who co-signed or returned it, oldest
    first; ``co_signer_id``: whom the owner named to co-sign it, the last one.
    """

    session_id = models.UUIDField(db_index=True)
    practitioner_id = models.UUIDField(db_index=True)
    credential = models.CharField(max_length=32)
    facility_id = models.UUIDField()
    started_at = models.DateTimeField()
    started_from = models.CharField(max_length=32)
    ended_at = models.DateTimeField()
    ended_from = models.CharField(max_length=32)
    booked_minutes = models.IntegerField()
    signed_at = models.DateTimeField()
    local_date = models.DateField()
    zone = models.CharField(max_length=64)
    subjective = models.TextField()
    objective = models.TextField()
    assessment = models.TextField()
    plan = models.TextField()
    split_reason = models.TextField(default="")
    minutes = models.JSONField(default=dict)
    not_counted_minutes = models.IntegerField()
    attended_minutes = models.IntegerField()
    lines = models.JSONField(default=list)
    cardio = models.JSONField(default=list)
    strength = models.JSONField(default=list)
    spans = models.JSONField(default=list)
    outside = models.JSONField(default=list)
    is_outside = models.BooleanField(default=False)
    addenda = models.JSONField(default=list)
    evaluated_with = models.JSONField(default=dict)
    supervisor_id = models.UUIDField(null=True)
    supervision_id = models.UUIDField(null=True, db_index=True)
    warnings = models.JSONField(default=list)
    entered_in_error = models.TextField(default="")
    entered_in_error_at = models.DateTimeField(null=True)
    entered_in_error_by = models.UUIDField(null=True)
    re_enters = models.UUIDField(null=True, db_index=True)
    co_signature = models.CharField(max_length=32, default="not_required")
    co_signature_reasons = models.JSONField(default=list)
    co_signature_acts = models.JSONField(default=list)
    co_signer_id = models.UUIDField(null=True)
    current_minutes = models.JSONField(default=dict)
    current_not_counted_minutes = models.IntegerField()
    current_attended_minutes = models.IntegerField()
    current_started_at = models.DateTimeField()
    current_ended_at = models.DateTimeField()

    class Meta(ReadTable.Meta):
        """The owner's list of work outside its permission reads by time, a search by day."""

        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(
                fields=["signed_at", "id"], name="note_outside", condition=models.Q(is_outside=True)
            ),
            models.Index(fields=["practitioner_id", "local_date", "id"], name="note_of_author"),
            models.Index(
                fields=["signed_at", "id"],
                name="note_awaits_co_signature",
                condition=models.Q(
                    co_signature__in=[one.value for one in OPEN], entered_in_error=""
                ),
            ),
        ]


class NoteDraft(models.Model):
    """A note being written: its fields encrypted with the client's key. No event until signed.

    A session has one of each practitioner who wrote of it: one that is moved to another leaves
    the words of the first with them. ``sealed`` holds the draft, ``unsent`` what
    came in after the signature: an addendum that nobody has sent yet.
    """

    id = models.UUIDField(primary_key=True)
    client_id = models.UUIDField(db_index=True)
    session_id = models.UUIDField()
    practitioner_id = models.UUIDField(db_index=True)
    revision = models.PositiveIntegerField(default=0)
    sealed = models.BinaryField(default=b"")
    unsent = models.BinaryField(default=b"")
    updated_at = models.DateTimeField()
    closed = models.BooleanField(default=False)

    class Meta:
        """One draft of a session for each author."""

        constraints = (
            models.UniqueConstraint(
                fields=("session_id", "practitioner_id"), name="note_draft_once_an_author"
            ),
        )
