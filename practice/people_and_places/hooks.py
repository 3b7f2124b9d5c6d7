"""What is asked of the features above before something of people and places is taken back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING
from uuid import UUID

from practice.core.appspec import ExtensionPoint
from practice.core.reasons import Reason

if TYPE_CHECKING:
    from practice.people_and_places.models.practitioners import Licence, Supervision

SUPERVISION_USES = ExtensionPoint[Callable[[UUID], Sequence[Reason]]]("uses of a supervision")
"""``find(supervision_id)``: what rests on a supervision and keeps it from being deleted."""


def uses_of_supervision(supervision_id: UUID) -> list[Reason]:
    """Everything that rests on a supervision."""
    return [reason for find in SUPERVISION_USES.answers for reason in find(supervision_id)]


@dataclass(frozen=True, slots=True, kw_only=True)
class SupervisedNote:
    """A session under a supervision, and what another word on co-signing does to its note:
    ``changes`` where that is not signed yet."""

    session_id: UUID
    signed: bool
    changes: bool
    text: str


SUPERVISED_NOTES = ExtensionPoint["Callable[[Supervision], Sequence[SupervisedNote]]"](
    "notes under a supervision"
)
"""``notes(supervision)``: those of its day that another ``co_signs`` bears on, or would have."""


def supervised_notes(row: Supervision) -> list[SupervisedNote]:
    """What a supervision as it is now bears on."""
    return [one for answer in SUPERVISED_NOTES.answers for one in answer(row)]


LICENCE_KEPT = ExtensionPoint["Callable[[Licence], None]"]("licence kept")
"""Called within the transaction in which a licence was added or changed."""


def tell_of_licence(row: Licence) -> None:
    """Tell the features above of a licence as it is now."""
    for callback in LICENCE_KEPT.answers:
        callback(row)
