"""What a draft would be held up for, line by line, told at every save and not at the end. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

import msgspec

from clients.health.domain.sites import technique_text
from practice.core.reasons import Reason
from practice.core.terms import Mode, Side
from sessions.calendar.domain.session_state import SessionState, SessionStatus
from sessions.notes.domain.content import NoteContent, incomplete_lines
from sessions.notes.domain.decisions import (
    early_signature_warnings,
    note_times,
    untouched_line,
    wrong_line,
    wrong_strength,
)
from sessions.notes.domain.events import NoteLine
from sessions.notes.domain.line_permissions import UNKNOWN_STRETCH
from sessions.notes.domain.minutes import note_count, wrong_minutes
from sessions.notes.domain.outside import LinePermission, lines_outside
from sessions.notes.domain.settings import NoteSettings
from sessions.notes.domain.terms import StrengthWork
from sessions.notes.domain.times import MINUTE, start_text, wrong_times


class DraftFinding(msgspec.Struct, frozen=True, kw_only=True):
    """Something in a draft that a signature refuses, asks about or marks.

    ``field``: what it is about, e.g. ``lines.<id>`` or ``minutes``. ``allowed`` and
    ``reasons``: the most that a line outside its permission may have been, and why.
    """

    field: str
    code: str
    text: str
    allowed: Mode | None = None
    reasons: tuple[Reason, ...] = ()


class ClosedLimb(msgspec.Struct, frozen=True, kw_only=True):
    """A limb, or the trunk with no side, that may carry no load, with every reason."""

    name: str
    side: Side | None
    reasons: tuple[Reason, ...]


def loaded_while_closed(
    strength: Iterable[StrengthWork], closed: Sequence[ClosedLimb]
) -> Iterator[DraftFinding]:
    """Strength with a load, or one that is not said, on a side of which a limb may carry none.

    Which limb an exercise loads only who was there knows; it is asked, and may be signed.
    """
    for work in strength:
        met = [one for one in closed if one.side in (None, work.side) or work.side is Side.BOTH]
        if work.load_kg == 0 or not met:
            continue
        names = ", ".join(one.name for one in met)
        yield DraftFinding(
            field=f"strength.{work.line_id}",
            code="load_closed",
            text=f"No load today on: {names}. Say in the response that it was not loaded, or why.",
            reasons=tuple({one.code: one for limb in met for one in limb.reasons}.values()),
        )


def draft_findings(
    content: NoteContent,
    session: SessionState,
    permitted: Mapping[UUID, LinePermission],
    settings: NoteSettings,
    now: datetime,
) -> list[DraftFinding]:
    """Unknown codes, lines outside their permission, numbers, times and minutes that cannot be."""
    return [
        *_of_lines(content, permitted, settings),
        *_of_minutes(content, session, settings, now),
    ]


def incomplete_findings(fields: Mapping[str, Any]) -> list[DraftFinding]:
    """Lines of a draft that lack what each needs: a signature would leave them behind."""
    return [
        DraftFinding(field=field, code="incomplete_line", text=text)
        for field, text in incomplete_lines(fields).items()
    ]


def unknown_stretches(
    lines: tuple[NoteLine, ...], permitted: Mapping[UUID, LinePermission]
) -> list[NoteLine]:
    """The lines whose stretch and technique the practice's catalogue does not have."""
    return [line for line in lines if UNKNOWN_STRETCH in permitted[line.line_id].reasons]


def unknown_stretch_text(line: NoteLine) -> str:
    """Which code and technique the catalogue does not have."""
    return f"The catalogue has no stretch {line.stretch} with {technique_text(line.technique)}."


def _of_lines(
    content: NoteContent, permitted: Mapping[UUID, LinePermission], settings: NoteSettings
) -> Iterator[DraftFinding]:
    for line in unknown_stretches(content.lines, permitted):
        text = unknown_stretch_text(line)
        yield DraftFinding(field=f"lines.{line.line_id}", code=UNKNOWN_STRETCH.code, text=text)
    for line in lines_outside(content.lines, permitted):
        most = permitted[line.line_id]
        explained = content.explanations.get(line.line_id, "").strip()
        yield DraftFinding(
            field=f"lines.{line.line_id}",
            code="outside_permission",
            text="Outside its permission; the explanation is kept with it."
            if explained
            else "Outside its permission: explain it before it is signed.",
            allowed=most.mode,
            reasons=most.reasons,
        )
    for line in content.lines:
        for field, text in wrong_line(line, settings).items():
            yield DraftFinding(field=field, code="impossible_number", text=text)
        for field, text in untouched_line(line).items():
            code = "response_missing" if field.endswith(".response") else "untouched_line"
            yield DraftFinding(field=field, code=code, text=text)
    for work in content.strength:
        for field, text in wrong_strength(work, settings).items():
            yield DraftFinding(field=field, code="impossible_number", text=text)


def _of_minutes(
    content: NoteContent, session: SessionState, settings: NoteSettings, now: datetime
) -> Iterator[DraftFinding]:
    times = note_times(session, content)
    longest = settings.longest_attended_minutes
    for field, text in wrong_times(times, session.starts_at, longest, now).items():
        yield DraftFinding(field=field, code="impossible_times", text=text)
    count = note_count(content, times)
    worked = content.cardio or content.spans
    if not (count.attended_minutes or worked) and content.attended_minutes is None:
        return
    for field, text in wrong_minutes(content, times, session.zone, settings).items():
        yield DraftFinding(field=field, code="impossible_minutes", text=text)
    total, passed = count.attended_minutes, max((now - times.started_at) // MINUTE, 0)
    if total > session.booked_minutes:
        text = f"{total} minutes are more than the {session.booked_minutes} booked: confirm them."
        yield DraftFinding(field="minutes", code="more_than_booked", text=text)
    if total > passed:
        text = f"{total} minutes, and {passed} have passed since {start_text(times, session.zone)}."
        yield DraftFinding(field="minutes", code="more_than_passed", text=text)
    # Before any minutes are entered nobody is about to sign.
    if content.minutes and session.status is not SessionStatus.COMPLETED:
        for one in early_signature_warnings(times, session.zone, now):
            yield DraftFinding(field="signature", code=one.code, text=one.text)
