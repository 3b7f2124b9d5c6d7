"""Bringing lines into a draft: all of the plan as done as planned, or those of the last note."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

import msgspec

from practice.core.reasons import Rejected
from practice.core.terms import Side
from practice.work.unit_of_work import UnitOfWork
from sessions.calendar.models import Session
from sessions.notes.domain.content import LINE_PREFIX
from sessions.notes.domain.draft_fields import DraftSave
from sessions.notes.domain.events import NoteLine
from sessions.notes.domain.terms import BroughtFrom
from sessions.notes.selectors.notes import last_note_before
from sessions.notes.services.drafts import DraftSaveOutcome, device_of, draft_opened, take_save
from sessions.plan.domain.brought_lines import (
    PlannedLine,
    lines_of_last_note,
    lines_of_plan,
    lines_to_save,
)
from sessions.plan.selectors import PlannedStretch, session_plan_get


def lines_bring(
    uow: UnitOfWork, *, session_id: UUID, command: Mapping[str, Any], if_match: int
) -> DraftSaveOutcome:
    """Bring lines into the session's draft as one save of a device.

    ``command``: ``device``, ``app_start``, ``sequence``, ``origin`` and a ``response`` that is
    said of all lines of the plan. A line that the draft holds stays as it is, but for a response
    that it lacks. Raises Rejected as a save does, and 409 where there is nothing to bring from.
    """
    opened = draft_opened(uow, session_id)
    known = opened.draft.knows(device_of(command), (if_match, command["sequence"]))
    lines = [] if known else _lines(opened.row, command)
    save = DraftSave(
        device=device_of(command),
        sequence=command["sequence"],
        base=if_match,
        changes={
            f"{LINE_PREFIX}{one.line_id}": msgspec.to_builtins(one)
            for one in lines_to_save(lines, opened.draft.content())
        },
    )
    return take_save(uow, opened.paper, save)


def _lines(row: Session, command: Mapping[str, Any]) -> list[NoteLine]:
    if command["origin"] is BroughtFrom.PLAN:
        planned = [line for one in session_plan_get(row).stretches for line in _planned(one)]
        return lines_of_plan(row.pk, planned, command.get("response", ""))
    last = last_note_before(row)
    if last is None:
        raise Rejected("no_last_note", "The client has no signed note before this session.")
    return lines_of_last_note(row.pk, msgspec.convert(last.lines, list[NoteLine]))


def _planned(one: PlannedStretch) -> list[PlannedLine]:
    doses = {dose["technique"]: dose for dose in one.row.doses}
    return [
        PlannedLine(
            prescription_id=one.row.pk,
            stretch=one.row.stretch,
            technique=found.technique,
            side=Side(one.row.side),
            mode=found.mode,
            repetitions=doses.get(found.technique, {}).get("repetitions"),
            hold_seconds=doses.get(found.technique, {}).get("hold_seconds"),
        )
        for found in one.techniques
    ]
