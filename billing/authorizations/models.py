"""Read tables of billing: rows come from events and are never edited."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.work.models import ReadTable


class Authorization(ReadTable):
    """An authorization as it stands. ``*_left`` is null where nothing limits it; below zero
    where it was reduced after use (``over_used``). ``last_day`` is its end, early or not.
    ``lines`` are ``{code, units, used}``."""

    payer_id = models.UUIDField()
    number = models.CharField(max_length=60)
    member_id = models.CharField(max_length=60, default="")
    starts_on = models.DateField()
    ends_on = models.DateField()
    ended_on = models.DateField(null=True)
    voided_at = models.DateTimeField(null=True)
    last_day = models.DateField()
    coverage_order = models.PositiveSmallIntegerField(default=1)
    visits_authorized = models.IntegerField(null=True)
    visits_used = models.IntegerField(default=0)
    visits_left = models.IntegerField(null=True)
    units_authorized = models.IntegerField(null=True)
    units_used = models.IntegerField(default=0)
    units_reserved = models.IntegerField(default=0)
    units_left = models.IntegerField(null=True)
    minutes_authorized = models.IntegerField(null=True)
    minutes_used = models.IntegerField(default=0)
    minutes_reserved = models.IntegerField(default=0)
    minutes_left = models.IntegerField(null=True)
    over_used = models.BooleanField(default=False)
    lines = models.JSONField(default=list)
    practitioner_ids = models.JSONField(default=list)
    diagnoses = models.JSONField(default=list)
    recorded_at = models.DateTimeField()

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["last_day", "id"], name="authorization_by_last_day"),
            models.Index(fields=["payer_id", "last_day"], name="authorization_by_payer"),
            models.Index(fields=["number", "payer_id"], name="authorization_by_number"),
        ]


class Visit(ReadTable):
    """A client's treatment day in one discipline, as last calculated.

    ``uncovered_reason_codes`` are the codes of ``uncovered_reasons`` as ``|a|b|`` to filter
    by. ``expected_units`` and ``used_units`` are per service code; ``undecided`` waits for a
    person's override; ``billable_units`` are those of all minutes, paid or not;
    ``expected_amount`` is what the units used are worth by the rates of the day.
    """

    local_date = models.DateField()
    discipline = models.CharField(max_length=30)
    authorization_id = models.UUIDField(null=True)
    payer_id = models.UUIDField(null=True)
    unit_rule = models.CharField(max_length=30, default="")
    sessions = models.JSONField(default=list)
    expected_units = models.JSONField(default=dict)
    expected_units_undecided = models.IntegerField(default=0)
    timed_minutes = models.IntegerField(default=0)
    used_units = models.JSONField(default=dict)
    used_minutes = models.IntegerField(default=0)
    used_units_total = models.IntegerField(default=0)
    undecided = models.JSONField(null=True)
    awaiting_override = models.BooleanField(default=False)
    chosen_by_person = models.BooleanField(default=False)
    units_chosen = models.BooleanField(default=False)
    counts_as = models.JSONField(default=list)
    billable_units = models.JSONField(null=True)
    covered = models.CharField(max_length=32)
    uncovered_reasons = models.JSONField(default=list)
    uncovered_reason_codes = models.CharField(max_length=400, default="")
    excluded_minutes = models.JSONField(default=list)
    fully_covered_by = models.JSONField(default=list)
    expected_amount = models.JSONField(null=True)
    calculated_at = models.DateTimeField()

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["-local_date", "id"], name="visit_by_day"),
            models.Index(fields=["authorization_id", "local_date", "id"], name="visit_by_source"),
            models.Index(fields=["covered", "-local_date", "id"], name="visit_by_cover"),
        ]
