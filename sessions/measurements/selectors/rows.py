"""What was measured of a client, as the read tables have it."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.db.models import QuerySet

from practice.work.projection_runner import row_of_new_stream
from practice.work.unit_of_work import Outcome
from sessions.measurements.models import Goal, PostureFinding, Reading


def readings_of(client_id: UUID) -> QuerySet[Reading]:
    """The readings of a client that count, in no order."""
    return Reading.objects.filter(client_id=client_id)


def goals_of(client_id: UUID) -> QuerySet[Goal]:
    """A client's goals, replaced ones too."""
    return Goal.objects.filter(client_id=client_id)


def posture_findings_of(client_id: UUID) -> QuerySet[PostureFinding]:
    """A client's posture findings."""
    return PostureFinding.objects.filter(client_id=client_id)


def reading_just_recorded(outcome: Outcome) -> Reading:
    """The row of a reading that was just written, without asking for it again."""
    row: Any = row_of_new_stream(Reading, outcome.events, outcome.entity_id)
    return Reading(**row)
