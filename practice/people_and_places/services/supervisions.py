"""A supervision as it is changed: whether the supervisor co-signs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from practice.core.reasons import Rejected
from practice.people_and_places.models.practitioners import Supervision
from practice.policy import change_log as history
from practice.work.unit_of_work import UnitOfWork


def supervision_change(
    uow: UnitOfWork, *, supervision_id: UUID, command: Mapping[str, Any], if_match: int
) -> Supervision:
    """Have the supervisor co-sign, or no more (``co_signs``), with the ``reason``.

    It counts for what is signed from now on; a signature waits for this row, so that each goes by
    the word before or after. Raises Rejected 409 ``nothing_changed`` for what stands already.
    """
    row = history.lock_row(Supervision, supervision_id, "supervision", if_match=if_match)
    if row.co_signs == command["co_signs"]:
        stands = "co-signs" if row.co_signs else "does not co-sign"
        raise Rejected("nothing_changed", f"The supervisor {stands} that day already.")
    values = {"co_signs": command["co_signs"], "reason": command["reason"].strip()}
    return history.update_row(uow, row, values, "supervision on this day")
