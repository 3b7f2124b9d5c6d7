"""The tables of the calendar: one row per session, written by its projector, and the classes."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.policy.rows import RevisionedModel
from practice.work.models import ReadTable


class Session(ReadTable):
    """A session as the calendar shows it. Rows come from events and are never edited.

    ``status`` is booked, arrived, completed, cancelled or no_show; only booked and
    arrived ones hold a practitioner's, a room's and the client's time. ``widest_mode`` is what
    the plan and its flag allow before the day is asked for, ``mode`` what the day left of it;
    ``hands_on`` and ``widest_hands_on`` say the same of how much is by hand. ``closed`` is
    what is not, ``narrowed`` what the flag speaks of; ``before_day_flag`` what stands again
    when corrected answers end a flag of the day. ``evaluated_at``: when ``reasons`` were found;
    ``flagged_at``: when the flag was set; ``confirmed_at``: when someone said that the client
    comes, null while nobody did. ``buffer_before`` and ``buffer_after``: minutes of the kind it
    was booked as, in which practitioner and room are held. ``moved_alone`` and
    ``cancelled_alone``: it is an exception of its series. ``local_end_date``: the local day of
    its last moment. ``overruled``: why it was booked although the place was closed or the
    practitioner absent. ``class_id``: it is a place in a class, ``class_changed_at``: when
    that was last moved or called off. ``red_flags``: those that were said in it (``said_at``)
    and those that were lifted in it (``lifted_at``, ``lifted_by``: the practitioner), in order.
    ``entered_elsewhere``: entered late with a practitioner who does not work at that facility.
    ``first_mode``: what it was planned as before it narrowed, where a move left it narrower.
    """

    practitioner_id = models.UUIDField()
    facility_id = models.UUIDField()
    room_id = models.UUIDField(null=True)
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    local_date = models.DateField()
    zone = models.CharField(max_length=64)
    status = models.CharField(max_length=32)
    purpose = models.CharField(max_length=32)
    requested_mode = models.CharField(max_length=32, default="")
    planned_mode = models.CharField(max_length=32)
    widest_mode = models.CharField(max_length=32)
    mode = models.CharField(max_length=32)
    hands_on = models.CharField(max_length=32)
    widest_hands_on = models.CharField(max_length=32)
    closed = models.JSONField(default=list)
    narrowed = models.JSONField(default=list)
    before_day_flag = models.JSONField(null=True)
    credential = models.CharField(max_length=32)
    reasons = models.JSONField(default=list)
    evaluated_at = models.DateTimeField(null=True)
    flagged = models.BooleanField(default=False)
    flagged_at = models.DateTimeField(null=True)
    flag_reasons = models.JSONField(default=list)
    flag_cause = models.CharField(max_length=64, default="")
    exception_id = models.UUIDField(null=True)
    late_entry = models.BooleanField(default=False)
    entered_elsewhere = models.BooleanField(default=False)
    warnings = models.JSONField(default=list)
    overlaps = models.JSONField(default=list)
    hands_on_today = models.CharField(max_length=32, default="unanswered")
    arrived_at = models.DateTimeField(null=True)
    opened_at = models.DateTimeField(null=True)
    stopped_at_minute = models.IntegerField(null=True)
    confirmed_at = models.DateTimeField(null=True)
    confirmed_by = models.CharField(max_length=32, default="")
    confirmed_how = models.CharField(max_length=32, default="")
    cancelled_by = models.CharField(max_length=32, default="")
    notice_minutes = models.IntegerField(null=True)
    ended_reason = models.TextField(default="")
    note_id = models.UUIDField(null=True)
    series_id = models.UUIDField(null=True)
    kind_id = models.UUIDField(null=True)
    kind_name = models.CharField(max_length=60, default="")
    buffer_before = models.PositiveSmallIntegerField(default=0)
    buffer_after = models.PositiveSmallIntegerField(default=0)
    moved_alone = models.BooleanField(default=False)
    cancelled_alone = models.BooleanField(default=False)
    class_id = models.UUIDField(null=True)
    class_changed_at = models.DateTimeField(null=True)
    local_end_date = models.DateField()
    overruled = models.TextField(default="")
    first_mode = models.CharField(max_length=32, default="")
    red_flags = models.JSONField(default=list)

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(
                fields=["client_id", "starts_at"],
                name="session_booked",
                condition=models.Q(status="booked"),
            ),
            models.Index(
                fields=["ends_at", "id"],
                name="session_unsigned",
                condition=models.Q(status="arrived"),
            ),
            models.Index(fields=["facility_id", "starts_at"], name="session_by_facility"),
            models.Index(fields=["practitioner_id", "starts_at"], name="session_by_practitioner"),
            models.Index(fields=["room_id", "starts_at"], name="session_by_room"),
            models.Index(fields=["starts_at", "id"], name="session_by_start"),
            models.Index(
                fields=["local_date", "id"],
                name="session_flagged",
                condition=models.Q(status="booked", flagged=True),
            ),
            models.Index(
                fields=["starts_at", "id"],
                name="session_entered_elsewhere",
                condition=models.Q(entered_elsewhere=True),
            ),
            models.Index(
                fields=["local_date", "id"],
                name="session_narrower_than_first",
                condition=models.Q(status="booked") & ~models.Q(first_mode=""),
            ),
            models.Index(
                fields=["series_id", "starts_at"],
                name="session_by_series",
                condition=models.Q(series_id__isnull=False),
            ),
            models.Index(
                fields=["class_id", "id"],
                name="session_by_class",
                condition=models.Q(class_id__isnull=False),
            ),
            models.Index(
                fields=["kind_id", "starts_at", "id"],
                name="session_by_kind",
                condition=models.Q(kind_id__isnull=False),
            ),
            models.Index(
                fields=["local_date", "id"],
                name="session_class_changed",
                condition=models.Q(class_changed_at__isnull=False),
            ),
        ]

    @property
    def series_exception(self) -> str:
        """How it left its series by itself, ``cancelled`` or ``moved``; empty where it did not."""
        if self.cancelled_alone:
            return "cancelled"
        return "moved" if self.moved_alone else ""


class ExerciseClass(RevisionedModel):
    """A class of several clients with one practitioner; a row of the practice, with history.

    It holds the practitioner's and the room's time, whether or not anybody has a place in it.
    A place is a session on the client's own stream that names the class (``class_id``).
    ``overruled``: why it stands although the place was closed or the practitioner absent;
    ``ended_reason``: why it was called off. ``entered_late_at`` and ``entered_late_by`` (the
    account): of one that was entered after it took place.
    """

    title = models.CharField(max_length=80)
    practitioner_id = models.UUIDField()
    facility_id = models.UUIDField()
    room_id = models.UUIDField(null=True)
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    local_date = models.DateField()
    zone = models.CharField(max_length=64)
    capacity = models.PositiveSmallIntegerField()
    overruled = models.CharField(max_length=500, blank=True)
    is_cancelled = models.BooleanField(default=False)
    ended_reason = models.CharField(max_length=500, blank=True)
    entered_late_at = models.DateTimeField(null=True)
    entered_late_by = models.UUIDField(null=True)

    ADDED: ClassVar = {"entered_late_at": None, "entered_late_by": None}

    class Meta:
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["starts_at", "id"], name="class_by_start"),
            models.Index(fields=["facility_id", "starts_at", "id"], name="class_by_facility"),
            models.Index(fields=["practitioner_id", "starts_at"], name="class_by_practitioner"),
        ]

    def __str__(self) -> str:
        return self.title
