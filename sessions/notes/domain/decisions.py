"""Signing a note: a pure decision."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from practice.core.decisions import Context, Decided
from practice.core.reasons import Reason, Rejected
from sessions.calendar.domain.events import SessionCompleted
from sessions.calendar.domain.session_state import (
    STATUS_TEXT,
    CalendarState,
    SessionState,
    SessionStatus,
)
from sessions.calendar.domain.terms import PermissionsSnapshot
from sessions.notes.domain.co_signers import required
from sessions.notes.domain.content import NoteContent
from sessions.notes.domain.events import NoteCount, NoteLine, NoteSigned, SessionTimes
from sessions.notes.domain.minutes import check_booked, note_count, wrong_minutes
from sessions.notes.domain.outside import LinePermission, explained_lines_outside
from sessions.notes.domain.settings import NoteSettings
from sessions.notes.domain.state import NotesState
from sessions.notes.domain.terms import BroughtFrom, StrengthWork
from sessions.notes.domain.times import end_text, session_times, start_text, wrong_times

POLICY = "practice policy"


@dataclass(frozen=True, slots=True, kw_only=True)
class SignFacts:
    """What was found for a signature: the draft and the permission of each line.

    ``permitted`` has every line; ``evaluated_with`` the revisions that decided.
    ``confirmed``: more minutes than booked are meant. ``warnings``: found beside the
    client's own record, e.g. overlaps. ``supervision``: (its id, the supervisor's).
    ``re_enters``: the note entered in error whose place it takes. ``co_signature``: why the note
    waits for the supervisor's; none: it does not.
    """

    note_id: UUID
    content: NoteContent
    revision: int
    permitted: Mapping[UUID, LinePermission]
    settings: NoteSettings
    collisions: Mapping[str, list[Any]] = field(default_factory=dict)
    evaluated_with: Mapping[str, int] = field(default_factory=dict)
    permissions: PermissionsSnapshot | None = None
    confirmed: bool = False
    warnings: tuple[Reason, ...] = ()
    supervision: tuple[UUID, UUID] | None = None
    re_enters: UUID | None = None
    co_signature: tuple[Reason, ...] = ()


def decide_sign(
    calendar: CalendarState, notes: NotesState, session_id: UUID, facts: SignFacts, ctx: Context
) -> Decided:
    """Sign the draft of a session that took place; signing completes the session in the same batch.

    Refuses with 409 a session without an arrival, a second signature, a draft with
    unresolved collisions or more than was booked without a confirmation; with 400 missing
    parts, impossible times and minutes and lines outside their permission that nobody explained.
    """
    session = calendar.session(session_id)
    _check_signable(session, notes, facts)
    content, settings = facts.content, facts.settings
    times = note_times(session, content)
    _check_times(session, times, settings, ctx)
    count = note_count(content, times)
    if wrong := wrong_minutes(content, times, session.zone, settings):
        raise Rejected("impossible_minutes", "The minutes cannot be.", status=400, fields=wrong)
    _check_parts(content, settings)
    outside = explained_lines_outside(content.lines, content.explanations, facts.permitted)
    check_booked(count, session.booked_minutes, confirmed=facts.confirmed)
    supervision_id, supervisor_id = facts.supervision or (None, None)
    signed = NoteSigned(
        note_id=facts.note_id,
        session_id=session.id,
        practitioner_id=session.practitioner_id,
        credential=session.credential,
        facility_id=session.facility_id,
        started_at=times.started_at,
        started_from=times.started_from,
        ended_at=times.ended_at,
        ended_from=times.ended_from,
        booked_minutes=session.booked_minutes,
        zone=session.zone,
        local_date=times.started_at.astimezone(ZoneInfo(session.zone)).date(),
        subjective=content.subjective,
        objective=content.objective,
        assessment=content.assessment,
        plan=content.plan,
        minutes=count.minutes,
        not_counted_minutes=count.not_counted_minutes,
        attended_minutes=count.attended_minutes,
        lines=content.lines,
        cardio=content.cardio,
        strength=content.strength,
        spans=content.spans,
        re_enters=facts.re_enters,
        outside=outside,
        split_reason=content.split_reason,
        draft_revision=facts.revision,
        evaluated_with=dict(facts.evaluated_with),
        permissions=facts.permissions,
        supervisor_id=supervisor_id,
        supervision_id=supervision_id,
        warnings=(*count_warnings(count, session, ctx.now), *facts.warnings),
    )
    completed = SessionCompleted(session_id=session.id, note_id=facts.note_id)
    return [signed, *required(signed, facts.co_signature), completed]


def note_times(session: SessionState, content: NoteContent) -> SessionTimes:
    """When the session of a draft took place, by what is known and what the draft sets."""
    return session_times(session, started_at=content.started_at, ended_at=content.ended_at)


def count_warnings(count: NoteCount, session: SessionState, now: datetime) -> list[Reason]:
    """What to heed about the minutes of a note: signed before its end, more than was booked."""
    found = early_signature_warnings(count.times, session.zone, now)
    if count.attended_minutes > session.booked_minutes:
        text = f"{count.attended_minutes} minutes attended, {session.booked_minutes} booked."
        found.append(Reason(code="more_than_booked", text=text, source=POLICY))
    return found


def early_signature_warnings(times: SessionTimes, zone: str, now: datetime) -> list[Reason]:
    """That a signature now would come before the end of the session."""
    if times.ended_at <= now:
        return []
    here = now.astimezone(ZoneInfo(zone))
    text = f"It is {here:%H:%M}: the session ends at {end_text(times, zone)}."
    return [Reason(code="signed_before_end", text=text, source=POLICY)]


def _check_signable(session: SessionState, notes: NotesState, facts: SignFacts) -> None:
    if session.id in notes.by_session:
        raise Rejected("already_signed", "The note is signed; add an addendum instead.")
    if session.status is not SessionStatus.ARRIVED:
        raise Rejected(
            "session_status",
            f"The session is {STATUS_TEXT[session.status]}; a note is signed once the client has"
            " arrived.",
            extra={"session_status": session.status.value},
        )
    if facts.collisions:
        raise Rejected(
            "unresolved_collisions",
            "Two devices wrote the same fields. Choose one value for each, save, then sign.",
            extra={"collisions": dict(facts.collisions)},
        )


def _check_times(
    session: SessionState, times: SessionTimes, settings: NoteSettings, ctx: Context
) -> None:
    longest = settings.longest_attended_minutes
    if wrong := wrong_times(times, session.starts_at, longest, ctx.now):
        raise Rejected("impossible_times", "The times cannot be.", status=400, fields=wrong)
    if times.started_at > ctx.now:
        raise Rejected(
            "not_started",
            f"The session starts at {start_text(times, session.zone)}. If it began earlier, set"
            " started_at and ended_at.",
        )


def _check_parts(content: NoteContent, settings: NoteSettings) -> None:
    fields = {
        name: "This part of the note is required before it is signed."
        for name in settings.required_texts
        if not str(getattr(content, name)).strip()
    }
    for line in content.lines:
        fields.update(wrong_line(line, settings))
        fields.update(untouched_line(line))
    for work in content.strength:
        fields.update(wrong_strength(work, settings))
    if fields:
        raise Rejected("incomplete_note", "The note is not complete.", status=400, fields=fields)


def untouched_line(line: NoteLine) -> dict[str, str]:
    """Why a line that was brought into the note does not yet say what was done, by field."""
    field = f"lines.{line.line_id}"
    if line.brought_from is BroughtFrom.LAST_NOTE:
        return {
            field: "It is from the last note: save it as it was done today (a PATCH that names it;"
            " a PUT that leaves it as it stands confirms nothing), or take it out."
        }
    if line.brought_from is BroughtFrom.PLAN and not line.response.strip():
        return {f"{field}.response": "It is from the plan: say how the client responded."}
    return {}


def wrong_strength(work: StrengthWork, settings: NoteSettings) -> dict[str, str]:
    """Numbers of a strength exercise that cannot be, by field."""
    most = settings.most_repetitions
    if 1 <= work.repetitions <= most:
        return {}
    return {f"strength.{work.line_id}.repetitions": f"From 1 to {most}."}


def wrong_line(line: NoteLine, settings: NoteSettings) -> dict[str, str]:
    """Numbers of a line that cannot be, by field."""
    spans = {
        "repetitions": (line.repetitions, 1, settings.most_repetitions),
        "hold_seconds": (line.hold_seconds, 0, settings.longest_hold_seconds),
        "minute": (line.minute, 0, settings.longest_attended_minutes),
        "pain_before": (line.pain_before, 0, 10),
        "pain_after": (line.pain_after, 0, 10),
    }
    return {
        f"lines.{line.line_id}.{name}": f"From {least} to {most}."
        for name, (value, least, most) in spans.items()
        if value is not None and not least <= value <= most
    }
