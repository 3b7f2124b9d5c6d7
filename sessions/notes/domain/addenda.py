"""Adding to a signed note, and what came in after the signature: pure decisions."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from practice.core.decisions import Context, Decided
from practice.core.reasons import Rejected, invalid
from practice.core.terms import SessionPart
from sessions.notes.domain.commands import AddToNote, Correction
from sessions.notes.domain.content import (
    CARDIO_PREFIX,
    EXPLANATION_PREFIX,
    LINE_PREFIX,
    MINUTES_PREFIX,
    SPAN_PREFIX,
    STRENGTH_PREFIX,
    TEXT_FIELDS,
    TIME_FIELDS,
    WHOLE_NUMBER_FIELDS,
    NoteContent,
    note_content,
)
from sessions.notes.domain.events import (
    AddendumAdded,
    LateWords,
    NoteCount,
    NotePartMinutes,
    UnsentWordsDiscarded,
)
from sessions.notes.domain.line_fields import ORIGIN
from sessions.notes.domain.measured_fields import is_measured
from sessions.notes.domain.measured_lines import in_words
from sessions.notes.domain.minutes import check_booked, merged_minutes, wrong_count, wrong_parts
from sessions.notes.domain.outside import LinePermission, explained_lines_outside
from sessions.notes.domain.settings import NoteSettings
from sessions.notes.domain.state import NotesState, SignedNote
from sessions.notes.domain.times import with_times_set, wrong_times


@dataclass(frozen=True, kw_only=True)
class UnsentWords:
    """What was saved after the signature: changed fields, emptied ones as None.

    ``permitted`` has the permission of every line among them, ``explanations`` all that
    the draft holds. ``counts``: its minutes and times correct those of the note; not where
    they are those of somebody who had the session before.
    """

    fields: Mapping[str, Any] = field(default_factory=dict)
    explanations: Mapping[UUID, str] = field(default_factory=dict)
    collisions: Mapping[str, list[Any]] = field(default_factory=dict)
    permitted: Mapping[UUID, LinePermission] = field(default_factory=dict)
    counts: bool = True

    @property
    def content(self) -> NoteContent:
        """The fields that hold something, as a note reads them."""
        return note_content({name: one for name, one in self.fields.items() if one is not None})


def unsent_fields(
    signed: Mapping[str, Any], saved: Mapping[str, Any], collisions: Collection[str] = ()
) -> dict[str, Any]:
    """The fields of a draft that were changed after the signature, emptied ones as None, and
    those in which another value stands beside the signed one. Whether a line is still marked as
    brought in is nothing said of it: a late save that says no more leaves nothing unsent."""
    return {
        name: saved.get(name)
        for name in sorted({*signed, *saved, *collisions})
        if _unmarked(saved.get(name)) != _unmarked(signed.get(name)) or name in collisions
    }


def _unmarked(value: Any) -> Any:
    if not isinstance(value, Mapping):
        return value
    return {key: one for key, one in value.items() if key != ORIGIN}


def decide_addendum(
    notes: NotesState,
    session_id: UUID,
    practitioner_id: UUID,
    command: AddToNote,
    settings: NoteSettings,
    ctx: Context,
    unsent: UnsentWords | None = None,
) -> Decided:
    """Add a later word to a signed note, with corrected minutes or times where they were wrong.

    Corrections are merged by part and bounded by the clock. ``unsent``: what came in after
    the signature is sent with it: its words are kept, its minutes and times are corrections
    where ``command`` does not say otherwise. Refuses with 400 no word, minutes and times that
    cannot be, unexplained lines outside their permission; with 409 two values of one field.
    """
    note = notes.of(session_id)
    if unsent is None and not command.text.strip():
        raise _not_taken({"text": "Say what is added or corrected."})
    if unsent is not None and unsent.collisions:
        raise Rejected(
            "unresolved_collisions",
            "Two devices wrote the same fields. Choose one value for each, save, then send.",
            extra={"collisions": dict(unsent.collisions)},
        )
    after = _corrected(note, command.correction, unsent, settings, ctx.now)
    if after is not None:
        check_booked(after, note.booked_minutes, confirmed=command.confirmed)
    changed = after is not None and after.minutes != note.count.minutes
    return [
        AddendumAdded(
            addendum_id=ctx.new_id(),
            note_id=note.note_id,
            session_id=session_id,
            practitioner_id=practitioner_id,
            text=command.text.strip(),
            corrected_minutes=after.minutes if after is not None and changed else None,
            before=None if after is None else note.count,
            after=after,
            late=None if unsent is None else _late_words(unsent),
        )
    ]


def decide_discard_unsent(
    notes: NotesState, session_id: UUID, practitioner_id: UUID, fields: int, reason: str
) -> Decided:
    """Discard what came in after the signature; the record keeps that it was, and why."""
    note = notes.once_signed(session_id)
    if not reason.strip():
        raise invalid("reason", "Say why it is discarded.")
    return [
        UnsentWordsDiscarded(
            note_id=note.note_id,
            session_id=session_id,
            practitioner_id=practitioner_id,
            fields=fields,
            reason=reason.strip(),
        )
    ]


def _both(said: Correction, unsent: UnsentWords | None) -> Correction:
    """The correction that is said, and below it what the unsent words correct."""
    if unsent is None or not unsent.counts:
        return said
    saved = {name: one for name, one in unsent.fields.items() if name.startswith(MINUTES_PREFIX)}
    named = {one.part for one in said.minutes}
    late = [
        NotePartMinutes(part=part, minutes=saved[MINUTES_PREFIX + part] or 0)
        for part in SessionPart
        if MINUTES_PREFIX + part in saved and part not in named
    ]
    content, not_counted = unsent.content, said.not_counted_minutes
    if not_counted is None and "not_counted_minutes" in unsent.fields:
        not_counted = content.not_counted_minutes
    return Correction(
        minutes=(*said.minutes, *late),
        not_counted_minutes=not_counted,
        started_at=said.started_at or content.started_at,
        ended_at=said.ended_at or content.ended_at,
    )


def _corrected(
    note: SignedNote,
    said: Correction,
    unsent: UnsentWords | None,
    settings: NoteSettings,
    now: datetime,
) -> NoteCount | None:
    """What is counted after a correction; None where there is none. 400 where it cannot be."""
    correction = _both(said, unsent)
    if correction.is_empty:
        return None
    before = note.count
    times = with_times_set(before.times, correction.started_at, correction.ended_at)
    fields = wrong_parts(correction.minutes, settings)
    longest = settings.longest_attended_minutes
    fields.update(wrong_times(times, before.times.started_at, longest, now))
    if fields:
        raise _not_taken(fields)
    not_counted = correction.not_counted_minutes
    after = NoteCount(
        minutes=merged_minutes(before.minutes, correction.minutes),
        not_counted_minutes=before.not_counted_minutes if not_counted is None else not_counted,
        times=times,
    )
    if after == before and not said.is_empty:
        raise _not_taken({"corrected_minutes": "These are the minutes and times that stand."})
    fields = wrong_count(after, note.zone, settings)
    if before.minutes and not after.minutes:
        fields["minutes"] = "A correction does not leave a note without minutes of any part."
    if fields:
        raise _not_taken(fields)
    return None if after == before else after


def _late_words(unsent: UnsentWords) -> LateWords:
    content, names = unsent.content, unsent.fields
    return LateWords(
        texts={
            **{name: names[name] or "" for name in TEXT_FIELDS if name in names},
            **_as_words(names, counts=unsent.counts),
        },
        lines=content.lines,
        cardio=content.cardio,
        strength=content.strength,
        removed_lines=tuple(
            UUID(name.partition(".")[2])
            for name, value in names.items()
            if name.startswith(_LINES) and value is None
        ),
        explanations={
            UUID(name.removeprefix(EXPLANATION_PREFIX)): value or ""
            for name, value in names.items()
            if name.startswith(EXPLANATION_PREFIX)
        },
        outside=explained_lines_outside(content.lines, unsent.explanations, unsent.permitted),
    )


_LINES = (LINE_PREFIX, CARDIO_PREFIX, STRENGTH_PREFIX)


def _as_words(names: Mapping[str, Any], *, counts: bool) -> dict[str, str]:
    """What corrects nothing by itself, as its author had entered it: starts and stops of parts,
    what was measured and not taken, the minutes and times of somebody who had the session
    before."""
    words = {
        name: f"{value['part']} {value['started_at']} to {value['stopped_at']}"
        for name, value in names.items()
        if value is not None and name.startswith(SPAN_PREFIX)
    }
    words |= {
        name: in_words(name, value)
        for name, value in names.items()
        if value is not None and is_measured(name)
    }
    counted = () if counts else (*WHOLE_NUMBER_FIELDS, *TIME_FIELDS)
    return words | {
        name: str(value)
        for name, value in names.items()
        if value is not None
        and (name in counted or (not counts and name.startswith(MINUTES_PREFIX)))
    }


def _not_taken(fields: dict[str, str]) -> Rejected:
    return Rejected("invalid", "The addendum cannot be taken.", status=400, fields=fields)
