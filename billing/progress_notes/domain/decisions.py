"""Recording that a progress note was written, and taking that back. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

import msgspec

from billing.authorizations.domain.terms import Discipline
from billing.payers.domain.rules import PayerRulesById
from billing.progress_notes.domain.counting import DisciplineNotes
from billing.progress_notes.domain.due import HeldAuthorization, asking_of
from billing.progress_notes.domain.events import ProgressNoteEnteredInError, ProgressNoteRecorded
from billing.progress_notes.domain.state import ProgressNotesState
from billing.progress_notes.domain.terms import KeptAs
from practice.core.decisions import Context, Decided
from practice.core.reasons import Rejected, invalid
from practice.core.terms import Credential


class RecordProgressNote(msgspec.Struct, frozen=True, kw_only=True):
    """A note was written for the period that ends with ``covers_until``; ``written_on`` today
    where it is not given."""

    covers_until: date
    kept_as: KeptAs
    kept_where: str = ""
    written_on: date | None = None


class ProgressNoteInError(msgspec.Struct, frozen=True, kw_only=True):
    """Why there was no such note."""

    reason: str


@dataclass(frozen=True, slots=True)
class Author:
    """The clinician who wrote it; the discipline is that of the credential."""

    practitioner_id: UUID
    credential: Credential
    discipline: Discipline


@dataclass(frozen=True, slots=True)
class PayersOfNotes:
    """The payers that ask for notes, and the client's authorizations."""

    asking: PayerRulesById
    held: Sequence[HeldAuthorization]


def record_progress_note(
    command: RecordProgressNote,
    author: Author,
    notes: DisciplineNotes,
    payers: PayersOfNotes,
    today: date,
    ctx: Context,
) -> Decided:
    """The note. Rejected 400 for days that cannot be, 409 for a period that is covered, empty or
    longer than the rule of a payer whose authorization touches it lets it be."""
    written_on = command.written_on or today
    if written_on > today:
        raise invalid("written_on", "Give today, or the earlier day on which it was written.")
    if command.covers_until > written_on:
        raise invalid(
            "covers_until",
            f"A note covers treatment days up to the day it was written, {written_on}.",
        )
    if command.covers_until in notes.covered_until:
        raise Rejected(
            "period_covered",
            f"A progress note for the period until {command.covers_until} is on record already. "
            "If that one is wrong, enter it in error first.",
        )
    _check_period(notes.period_until(command.covers_until), command.covers_until, payers)
    return [
        ProgressNoteRecorded(
            progress_note_id=ctx.new_id(),
            discipline=author.discipline,
            written_on=written_on,
            covers_until=command.covers_until,
            author_id=author.practitioner_id,
            credential=author.credential,
            kept_as=command.kept_as,
            kept_where=command.kept_where,
        )
    ]


def _check_period(period: Sequence[date], until: date, payers: PayersOfNotes) -> None:
    if not period:
        raise Rejected(
            "no_treatment_day",
            f"No treatment day of this discipline that no note covers lies up to {until}. Sign the "
            "session notes of the period first, or name another last day.",
        )
    asking = asking_of(period[0], until, payers.held, payers.asking)
    for rules in sorted(asking.values(), key=lambda one: (one.name, one.payer_id)):
        rule = rules.progress_note_rule
        if rule is not None and len(period) > rule.treatment_days:
            last = period[rule.treatment_days - 1]
            raise Rejected(
                "period_too_long",
                f"For {rules.name} the period ends by its treatment day {rule.treatment_days}, "
                f"{last} ({rule.source}). Record the note for the days until then; those after it "
                "begin the next period, which has its own.",
                extra={"covers_until": last.isoformat()},
            )


def enter_progress_note_in_error(
    state: ProgressNotesState, note_id: UUID, command: ProgressNoteInError
) -> Decided:
    """There was no such note: its days count again or are of the next. Rejected 404, 409."""
    note = state.standing(note_id)
    return [
        ProgressNoteEnteredInError(
            progress_note_id=note_id, discipline=note.discipline, reason=command.reason
        )
    ]
