"""Signing a note, and adding to a signed one: pure decisions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import msgspec

from practice.core.decisions import Context, Decided
from practice.core.reasons import Reason, Rejected
from practice.core.terms import Mode
from sessions.calendar.domain.events import PermissionsSnapshot, SessionCompleted
from sessions.calendar.domain.modes import is_wider
from sessions.calendar.domain.state import CalendarState, SessionState, SessionStatus, SessionStop
from sessions.notes.domain.content import NoteContent
from sessions.notes.domain.events import (
    AddendumAdded,
    ExplainedLineOutside,
    NoteLine,
    NotePartMinutes,
    NoteSigned,
)
from sessions.notes.domain.state import NotesState


class NoteSettings(msgspec.Struct, frozen=True, kw_only=True):
    """The practice's settings of notes (group ``notes``)."""

    required_texts: tuple[str, ...]
    longest_attended_minutes: int
    most_repetitions: int
    longest_hold_seconds: int


@dataclass(frozen=True, slots=True)
class LinePermission:
    """The most that one line was allowed to be at its minute, and why no more."""

    mode: Mode
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SignFacts:
    """What was found for a signature: the draft and the permission of each line.

    ``permitted`` has every line; ``judged_with`` the revisions that decided.
    """

    note_id: UUID
    content: NoteContent
    revision: int
    permitted: Mapping[UUID, LinePermission]
    settings: NoteSettings
    collisions: Mapping[str, list[Any]] = field(default_factory=dict)
    evaluated_with: Mapping[str, int] = field(default_factory=dict)
    permissions: PermissionsSnapshot | None = None


def after_stop(line: NoteLine, lines: tuple[NoteLine, ...], stop: SessionStop | None) -> bool:
    """Whether a line was done after a stop. Without minute and place it counts as after.

    Lines up to the last one that the stop names are before it, whatever minute they bear.
    """
    if stop is None:
        return False
    ids = [one.line_id for one in lines]
    if stop.last_line_id in ids and ids.index(line.line_id) <= ids.index(stop.last_line_id):
        return False
    return line.minute is None or line.minute >= stop.minute


def decide_sign(
    calendar: CalendarState, notes: NotesState, session_id: UUID, facts: SignFacts, ctx: Context
) -> Decided:
    """Sign the draft of a session that took place; signing completes the session in the same batch.

    Refuses with 409 a session without an arrival, a second signature or a draft with
    unresolved collisions; with 400 missing parts, impossible minutes and lines
    outside their permission that nobody explained.
    """
    session = calendar.session(session_id)
    if session_id in notes.by_session:
        raise Rejected("already_signed", "The note is signed; add an addendum instead.")
    if session.status is not SessionStatus.ARRIVED:
        raise Rejected(
            "session_status",
            f"The session is {session.status.value}; a note is signed once the client has arrived.",
            extra={"session_status": session.status.value},
        )
    if facts.collisions:
        raise Rejected(
            "unresolved_collisions",
            "Two devices wrote the same fields. Choose one value for each, save, then sign.",
            extra={"collisions": dict(facts.collisions)},
        )
    content = facts.content
    attended = check_minutes(content, facts.settings)
    _check_parts(content, facts.settings)
    outside = _outside(content, facts.permitted)
    started = started_at(session)
    if started > ctx.now:
        raise Rejected("not_started", "The session has not started yet.")
    return [
        NoteSigned(
            note_id=facts.note_id,
            session_id=session.id,
            practitioner_id=session.practitioner_id,
            credential=session.credential,
            facility_id=session.facility_id,
            started_at=started,
            zone=session.zone,
            local_date=started.astimezone(ZoneInfo(session.zone)).date(),
            subjective=content.subjective,
            objective=content.objective,
            assessment=content.assessment,
            plan=content.plan,
            minutes=tuple(one for one in content.minutes if one.minutes),
            not_counted_minutes=content.not_counted_minutes,
            attended_minutes=attended,
            lines=content.lines,
            outside=outside,
            split_reason=content.split_reason,
            draft_revision=facts.revision,
            evaluated_with=dict(facts.evaluated_with),
            permissions=facts.permissions,
        ),
        SessionCompleted(session_id=session.id, note_id=facts.note_id),
    ]


def decide_addendum(
    notes: NotesState,
    session_id: UUID,
    practitioner_id: UUID,
    text: str,
    corrected: tuple[NotePartMinutes, ...] | None,
    settings: NoteSettings,
    ctx: Context,
) -> Decided:
    """Add a later word to a signed note, with corrected minutes where they were wrong."""
    note = notes.of(session_id)
    fields: dict[str, str] = {}
    if not text.strip():
        fields["text"] = "Say what is added or corrected."
    if corrected is not None:
        fields.update(_wrong_minutes(corrected, settings))
    if fields:
        raise Rejected("invalid", "The addendum cannot be taken.", status=400, fields=fields)
    return [
        AddendumAdded(
            addendum_id=ctx.new_id(),
            note_id=note.note_id,
            session_id=session_id,
            practitioner_id=practitioner_id,
            text=text.strip(),
            corrected_minutes=corrected,
        )
    ]


def started_at(session: SessionState) -> datetime:
    """When the session started: as booked, or when it was opened if that was earlier."""
    if session.opened_at is not None and session.opened_at < session.starts_at:
        return session.opened_at
    return session.starts_at


def check_minutes(content: NoteContent, settings: NoteSettings) -> int:
    """The attended minutes; Rejected 400 where they cannot be or do not add up."""
    fields = _wrong_minutes(content.minutes, settings)
    least = content.not_counted_minutes
    if not 0 <= least <= settings.longest_attended_minutes:
        fields["not_counted_minutes"] = "Whole minutes from 0 up."
    total = sum(one.minutes for one in content.minutes) + content.not_counted_minutes
    attended = total if content.attended_minutes is None else content.attended_minutes
    if not fields and attended != total:
        fields["attended_minutes"] = (
            f"The parts and what is not counted make {total} minutes, not {attended}."
        )
    if not fields and total == 0:
        fields["minutes"] = "Give the minutes of each part that was done."
    if not fields and total > settings.longest_attended_minutes:
        fields["minutes"] = f"At most {settings.longest_attended_minutes} minutes in all."
    if fields:
        raise Rejected("impossible_minutes", "The minutes cannot be.", status=400, fields=fields)
    return attended


def _wrong_minutes(minutes: tuple[NotePartMinutes, ...], settings: NoteSettings) -> dict[str, str]:
    most = settings.longest_attended_minutes
    wrong = {
        f"minutes.{one.part.value}": f"Whole minutes from 0 to {most}."
        for one in minutes
        if not 0 <= one.minutes <= most
    }
    if len({one.part for one in minutes}) < len(minutes):
        wrong["minutes"] = "Each part once."
    return wrong


def _check_parts(content: NoteContent, settings: NoteSettings) -> None:
    fields = {
        name: "This part of the note is required before it is signed."
        for name in settings.required_texts
        if not str(getattr(content, name)).strip()
    }
    for line in content.lines:
        fields.update(_wrong_line(line, settings))
    if fields:
        raise Rejected("incomplete_note", "The note is not complete.", status=400, fields=fields)


def _wrong_line(line: NoteLine, settings: NoteSettings) -> dict[str, str]:
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


def _outside(
    content: NoteContent, permitted: Mapping[UUID, LinePermission]
) -> tuple[ExplainedLineOutside, ...]:
    """The lines outside their permission with their explanations; 400 where one lacks."""
    beyond = [line for line in content.lines if is_wider(line.mode, permitted[line.line_id].mode)]
    silent = [one for one in beyond if not content.explanations.get(one.line_id, "").strip()]
    if silent:
        raise Rejected(
            "explanation_needed",
            "Some of what was done is outside what was permitted. It is kept; say why it was done.",
            status=400,
            fields={
                f"explanations.{one.line_id}": f"Explain: {one.stretch}, {one.technique.value},"
                f" {one.side.value}, {one.mode.value}."
                for one in silent
            },
            reasons=_all_reasons(silent, permitted),
            extra={
                "lines": [
                    {
                        "line_id": str(one.line_id),
                        "stretch": one.stretch,
                        "allowed": permitted[one.line_id].mode.value,
                        "reasons": [reason.code for reason in permitted[one.line_id].reasons],
                    }
                    for one in silent
                ]
            },
        )
    return tuple(
        ExplainedLineOutside(
            line_id=line.line_id,
            allowed=permitted[line.line_id].mode,
            reasons=permitted[line.line_id].reasons,
            explanation=content.explanations[line.line_id].strip(),
        )
        for line in beyond
    )


def _all_reasons(lines: list[NoteLine], permitted: Mapping[UUID, LinePermission]) -> list[Reason]:
    found: list[Reason] = []
    for line in lines:
        found.extend(r for r in permitted[line.line_id].reasons if r not in found)
    return found
