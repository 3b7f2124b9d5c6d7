"""What should be known before a record is erased or someone leaves: warnings, no refusals."""

from __future__ import annotations

from uuid import UUID

from practice.audit import hooks
from practice.audit.domain.jobs import KEY_DESTRUCTION_JOB
from practice.core.reasons import Audience, Reason
from practice.jobs.models import ScheduledJob
from practice.people_and_places.offboarding import POLICY


def erasure_warnings(client_id: UUID) -> list[Reason]:
    """The open business of a record as every layer knows it, and its work that falls due."""
    waiting = ScheduledJob.objects.filter(subject=client_id, status=ScheduledJob.Status.WAITING)
    count = waiting.exclude(kind=KEY_DESTRUCTION_JOB).count()
    due = Reason(
        code="erasure.jobs",
        text=f"Jobs wait in this record ({count}): they will not be done.",
        source=POLICY,
        audience=Audience.EVERYONE,
    )
    return [*hooks.open_items(client_id), *([due] if count else [])]
