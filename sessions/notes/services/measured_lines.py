"""What was measured while a draft was written, recorded by the commands that record it anywhere."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any
from uuid import UUID

from practice.core.reasons import Reason, Rejected
from practice.work.unit_of_work import Outcome, UnitOfWork
from sessions.measurements.domain.state import MEASUREMENTS, MeasurementsState
from sessions.measurements.hooks import read_sent
from sessions.measurements.services import circumferences_record, reading_record
from sessions.notes.domain.device_saves import mark_of
from sessions.notes.domain.drafts import Draft
from sessions.notes.domain.measured_fields import (
    READING_PREFIX,
    MeasuredLine,
    is_measured,
    record_id,
)
from sessions.notes.domain.measured_lines import to_take
from sessions.notes.models import NoteDraft
from sessions.notes.selectors.notes import drafts_of
from sessions.notes.services.kept_drafts import decrypt_draft


def take_measured(
    uow: UnitOfWork, paper: NoteDraft, draft: Draft, first: Collection[str]
) -> dict[str, list[Reason]]:
    """Record what was measured and is no record yet, in place; what each warns of, by field.

    One that the rules refuse stays in the draft with why; it is tried again with each save.
    ``first``: the fields of this save, in its order.
    """
    if not any(is_measured(name) for name in draft.fields):
        return {}
    warnings: dict[str, list[Reason]] = {}
    for name, value in to_take(draft, first):
        record, mark = record_id(paper.session_id, name), mark_of(value)
        motion = uow.states(paper.client_id, (MEASUREMENTS,))[MEASUREMENTS]
        if _is_known(motion, record):
            draft.measured[name] = MeasuredLine(_taken_as(paper, name, mark), taken=True)
            continue
        try:
            outcome = _record(uow, paper, name, value, record)
        except Rejected as refused:
            if refused.status >= 500:
                raise
            draft.measured[name] = MeasuredLine(
                mark, code=refused.code, text=refused.detail, fields=refused.fields
            )
        else:
            draft.measured[name] = MeasuredLine(mark, taken=True)
            warnings[name] = outcome.warnings
    return warnings


def _is_known(motion: MeasurementsState, record: UUID) -> bool:
    """Whether it was recorded before, whatever became of it since."""
    return (
        record in motion.removed
        or motion.reading(record) is not None
        or any(one.measured.circumferences_id == record for one in motion.circumferences)
    )


def _taken_as(paper: NoteDraft, name: str, mark: str) -> str:
    """The mark of a record as another draft of its session sent it; ``mark`` where none knows."""
    for other in drafts_of(paper.session_id):
        if other.pk != paper.pk:
            for unsent in (False, True):
                line = decrypt_draft(other, unsent=unsent).measured.get(name)
                if line is not None and line.taken:
                    return line.mark
    return mark


def _record(
    uow: UnitOfWork, paper: NoteDraft, name: str, value: Mapping[str, Any], record: UUID
) -> Outcome:
    sent = {key: one for key, one in value.items() if key != "line_id"}
    here = {"session_id": paper.session_id}
    if name.startswith(READING_PREFIX):
        reading = {**read_sent("readings", sent), **here, "reading_id": record}
        return reading_record(uow, client_id=paper.client_id, command=reading)
    profile = {**read_sent("circumferences", sent), **here, "circumferences_id": record}
    return circumferences_record(uow, client_id=paper.client_id, command=profile)
