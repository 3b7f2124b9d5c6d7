"""What was measured in a session, beside its note."""

from __future__ import annotations

from uuid import UUID

from sessions.measurements.models import Circumferences, Reading
from sessions.notes.domain.drafts import Draft
from sessions.notes.domain.measured_fields import is_measured
from sessions.notes.domain.measured_lines import LineShown, lines_shown
from sessions.notes.models import NoteDraft


def measured_in(
    client_id: UUID, session_id: UUID
) -> dict[str, list[Reading] | list[Circumferences]]:
    """The readings and circumferences that name a session and count, in their order."""
    here = {"client_id": client_id, "session_id": session_id}
    order = ("taken_at", "recorded_at", "id")
    return {
        "readings": list(Reading.objects.filter(**here).order_by(*order)),
        "circumferences": list(Circumferences.objects.filter(**here).order_by(*order)),
    }


def measured_lines(paper: NoteDraft, draft: Draft) -> list[LineShown]:
    """What was measured while a draft was written, and what came of each of it."""
    if not any(is_measured(name) for name in draft.fields):
        return []
    records = measured_in(paper.client_id, paper.session_id).values()
    counting = {one.pk for rows in records for one in rows}
    return lines_shown(draft, paper.session_id, counting)
