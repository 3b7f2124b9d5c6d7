"""The rows of signed notes, from the events of one client."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import msgspec

from practice.core.events import RecordedEvent
from practice.core.projections import ProjectedRows, Projection
from sessions.notes.domain import co_signature_events, events
from sessions.notes.domain.co_signatures import (
    NAMED,
    TAKEN_BACK,
    CoSignatureStatus,
    after_addendum,
)

CoSignatureAct = (
    co_signature_events.NoteCoSigned
    | co_signature_events.NoteReturned
    | co_signature_events.NoteReturnTakenBack
    | co_signature_events.CoSignerNamed
)


def _by_part(minutes: tuple[events.NotePartMinutes, ...]) -> dict[str, int]:
    return {one.part.value: one.minutes for one in minutes}


def _current(count: events.NoteCount) -> dict[str, Any]:
    """What is counted, as it stands with all corrections."""
    return {
        "current_minutes": _by_part(count.minutes),
        "current_not_counted_minutes": count.not_counted_minutes,
        "current_attended_minutes": count.attended_minutes,
        "current_started_at": count.times.started_at,
        "current_ended_at": count.times.ended_at,
    }


def _count(count: events.NoteCount | None) -> dict[str, Any] | None:
    """What is counted, as an addendum shows it."""
    if count is None:
        return None
    return {
        "minutes": _by_part(count.minutes),
        "not_counted_minutes": count.not_counted_minutes,
        "attended_minutes": count.attended_minutes,
        **msgspec.to_builtins(count.times),
    }


def _explained(outside: tuple[events.ExplainedLineOutside, ...]) -> list[dict[str, Any]]:
    return [{**msgspec.to_builtins(one), "known_later": False, "cause": ""} for one in outside]


NOTE_ROWS = Projection(
    "client_sessions.Note",
    watches=(events, co_signature_events),
    ignores=(events.UnsentWordsDiscarded, events.DraftDiscarded),
    version=3,
)


@NOTE_ROWS.on(events.NoteSigned)
def signed(rows: ProjectedRows, event: events.NoteSigned, meta: RecordedEvent) -> None:
    row = {
        "session_id": event.session_id,
        "practitioner_id": event.practitioner_id,
        "credential": event.credential,
        "facility_id": event.facility_id,
        "started_at": event.started_at,
        "started_from": event.started_from,
        "ended_at": event.ended_at,
        "ended_from": event.ended_from,
        "booked_minutes": event.booked_minutes,
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
        "cardio": msgspec.to_builtins(event.cardio),
        "strength": msgspec.to_builtins(event.strength),
        "spans": msgspec.to_builtins(event.spans),
        "re_enters": event.re_enters,
        "outside": _explained(event.outside),
        "is_outside": bool(event.outside),
        "addenda": [],
        "evaluated_with": dict(event.evaluated_with),
        "supervisor_id": event.supervisor_id,
        "supervision_id": event.supervision_id,
        "warnings": msgspec.to_builtins(event.warnings),
        "entered_in_error": "",
        "co_signature": CoSignatureStatus.NOT_REQUIRED.value,
        "co_signature_reasons": [],
        "co_signature_acts": [],
        "co_signer_id": None,
        "entered_in_error_at": None,
        "entered_in_error_by": None,
        **_current(event.count),
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
        "before": _count(event.before),
        "after": _count(event.after),
        "late": msgspec.to_builtins(event.late, str_keys=True),
    }
    changes: dict[str, Any] = {} if event.after is None else _current(event.after)
    changes["co_signature"] = after_addendum(CoSignatureStatus(row["co_signature"])).value
    if event.late is not None and event.late.outside:
        changes["outside"] = [*row["outside"], *_explained(event.late.outside)]
        changes["is_outside"] = True
    rows.change(event.note_id, addenda=[*row["addenda"], added], **changes)


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


@NOTE_ROWS.on(events.NoteEnteredInError)
def entered_in_error(
    rows: ProjectedRows, event: events.NoteEnteredInError, meta: RecordedEvent
) -> None:
    rows.change(
        event.note_id,
        entered_in_error=event.reason,
        entered_in_error_at=meta.recorded_at,
        entered_in_error_by=meta.actor,
    )


@NOTE_ROWS.on(co_signature_events.CoSignatureRequired)
def co_signature_required(
    rows: ProjectedRows, event: co_signature_events.CoSignatureRequired, meta: RecordedEvent
) -> None:
    rows.change(
        event.note_id,
        co_signature=CoSignatureStatus.WAITING.value,
        co_signature_reasons=msgspec.to_builtins(event.reasons),
    )


@NOTE_ROWS.on(co_signature_events.NoteCoSigned)
def co_signed(
    rows: ProjectedRows, event: co_signature_events.NoteCoSigned, meta: RecordedEvent
) -> None:
    status = CoSignatureStatus.CO_SIGNED.value
    _acted(rows, event, meta, act=status, words=event.words, co_signature=status)


@NOTE_ROWS.on(co_signature_events.NoteReturned)
def returned(
    rows: ProjectedRows, event: co_signature_events.NoteReturned, meta: RecordedEvent
) -> None:
    status = CoSignatureStatus.RETURNED.value
    _acted(rows, event, meta, act=status, words=event.reason, co_signature=status)


@NOTE_ROWS.on(co_signature_events.NoteReturnTakenBack)
def return_taken_back(
    rows: ProjectedRows, event: co_signature_events.NoteReturnTakenBack, meta: RecordedEvent
) -> None:
    _acted(rows, event, meta, act=TAKEN_BACK, words=event.reason, co_signature=event.leaves)


@NOTE_ROWS.on(co_signature_events.CoSignerNamed)
def co_signer_named(
    rows: ProjectedRows, event: co_signature_events.CoSignerNamed, meta: RecordedEvent
) -> None:
    named = {"naming_id": str(event.naming_id), "because": list(event.because)}
    changes = {"co_signer_id": event.practitioner_id}
    _acted(rows, event, meta, act=NAMED, words=event.reason, more=named, **changes)


def _acted(
    rows: ProjectedRows,
    event: CoSignatureAct,
    meta: RecordedEvent,
    *,
    act: str,
    words: str,
    more: Mapping[str, Any] | None = None,
    **changes: Any,
) -> None:
    """Somebody did something about a note's co-signature."""
    row = rows.get(event.note_id)
    if row is None:
        return
    done = {
        "act": act,
        "practitioner_id": str(event.practitioner_id),
        "credential": event.credential.value,
        "at": meta.recorded_at.isoformat(),
        "words": words,
        **(more or {}),
    }
    rows.change(event.note_id, co_signature_acts=[*row["co_signature_acts"], done], **changes)
