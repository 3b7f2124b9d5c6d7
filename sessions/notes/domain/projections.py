"""The rows of signed notes, from the events of one client."""

from __future__ import annotations

import msgspec

from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection
from sessions.notes.domain import events


def _by_part(minutes: tuple[events.NotePartMinutes, ...]) -> dict[str, int]:
    return {one.part.value: one.minutes for one in minutes}


NOTE_ROWS = Projection("client_sessions.Note", watches=(events,))


@NOTE_ROWS.on(events.NoteSigned)
def signed(rows: ProjectedRows, event: events.NoteSigned, meta: RecordedEvent) -> None:
    row = {
        "session_id": event.session_id,
        "practitioner_id": event.practitioner_id,
        "credential": event.credential,
        "facility_id": event.facility_id,
        "started_at": event.started_at,
        "signed_at": meta.recorded_at,
        "local_date": event.local_date,
        "zone": event.zone,
        "subjective": event.subjective,
        "objective": event.objective,
        "assessment": event.assessment,
        "plan": event.plan,
        "split_reason": event.split_reason,
        "minutes": _by_part(event.minutes),
        "not_counted_minutes": event.not_counted_minutes,
        "attended_minutes": event.attended_minutes,
        "lines": msgspec.to_builtins(event.lines),
        "outside": [
            {**msgspec.to_builtins(one), "known_later": False, "cause": ""} for one in event.outside
        ],
        "is_outside": bool(event.outside),
        "addenda": [],
        "evaluated_with": dict(event.evaluated_with),
    }
    rows.put(event.note_id, row)


@NOTE_ROWS.on(events.AddendumAdded)
def addendum_added(rows: ProjectedRows, event: events.AddendumAdded, meta: RecordedEvent) -> None:
    row = rows.get(event.note_id)
    if row is None:
        return
    corrected = None if event.corrected_minutes is None else _by_part(event.corrected_minutes)
    added = {
        "addendum_id": str(event.addendum_id),
        "practitioner_id": str(event.practitioner_id),
        "added_at": meta.recorded_at.isoformat(),
        "text": event.text,
        "corrected_minutes": corrected,
    }
    rows.change(event.note_id, addenda=[*row["addenda"], added])


@NOTE_ROWS.on(events.NoteMarkedOutside)
def marked_outside(
    rows: ProjectedRows, event: events.NoteMarkedOutside, meta: RecordedEvent
) -> None:
    row = rows.get(event.note_id)
    if row is None:
        return
    found = [
        {
            **msgspec.to_builtins(one),
            "explanation": "",
            "known_later": True,
            "cause": event.cause,
        }
        for one in event.lines
    ]
    rows.change(event.note_id, outside=[*row["outside"], *found], is_outside=True)
