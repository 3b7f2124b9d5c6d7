"""What a feature above makes of measurements: discharges that later readings are compared
with, and what a new reading answered. Pure.

Measurements know no stretch. Who discharges from stretches and holds re-checks answers with a
FollowUp; what a command brought with it is read from the events of its outcome.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from practice.core.appspec import ExtensionPoint
from practice.core.decisions import Slice, States
from practice.core.events import RecordedEvent
from practice.core.reasons import Audience, Reason
from practice.core.terms import Movement, Side
from sessions.measurements.domain.ranges import movement_words
from sessions.measurements.domain.settings import MeasurementSettings


@dataclass(frozen=True, kw_only=True)
class Discharge:
    """A discharge from a stretch with the readings that later ones are compared with.

    ``on`` is its local day; ``until`` is when the stretch came back or was ended, None where
    the discharge stands.
    """

    prescription_id: UUID
    occurred_at: datetime
    on: date
    movements: tuple[Movement, ...]
    side: Side
    readings: tuple[UUID, ...]
    until: datetime | None = None

    def stood_at(self, at: datetime) -> bool:
        """Whether it stood at a time; what ends it is still compared with it."""
        return self.occurred_at <= at and (self.until is None or at <= self.until)


@dataclass(frozen=True, kw_only=True)
class Loss:
    """A loss of range against a discharge that stands. Degrees; ``change`` is negative."""

    prescription_id: UUID
    stretch: str
    name: str
    reading_id: UUID
    movement: Movement
    side: Side
    reference: int
    degrees: int
    change: int
    threshold: float


@dataclass(frozen=True, kw_only=True)
class Answered:
    """A re-check that a command answered: held, lost or skipped."""

    recheck_id: UUID
    prescription_id: UUID
    outcome: str


@dataclass(frozen=True, kw_only=True)
class FollowUp:
    """How one feature follows up what is measured.

    ``folded`` gives the discharges that stand from the states of ``slices``, ``stored``
    every discharge of a client from the read tables; ``losses`` what the latest readings have
    lost against them, ``on_errors`` a prompt for each that rests on what was entered in error;
    ``answered`` and ``warnings`` read the events of a command.
    """

    slices: tuple[Slice[Any, Any], ...]
    folded: Callable[[States], Sequence[Discharge]]
    stored: Callable[[UUID], Sequence[Discharge]]
    losses: Callable[[States, MeasurementSettings], Sequence[Loss]]
    on_errors: Callable[[States], Sequence[Reason]]
    answered: Callable[[Sequence[RecordedEvent]], Sequence[Answered]]
    warnings: Callable[[Sequence[RecordedEvent]], Sequence[Reason]]


FOLLOW_UPS = ExtensionPoint[FollowUp]("follow-ups of measurements")


def answered_by(events: Sequence[RecordedEvent]) -> list[Answered]:
    """The re-checks that a command answered."""
    return [found for one in FOLLOW_UPS.answers for found in one.answered(events)]


def warnings_from(events: Sequence[RecordedEvent]) -> list[Reason]:
    """What is to be seen to after a command."""
    return [found for one in FOLLOW_UPS.answers for found in one.warnings(events)]


def slices_followed() -> tuple[Slice[Any, Any], ...]:
    """The slices that ``discharges_in`` reads."""
    return tuple(part for one in FOLLOW_UPS.answers for part in one.slices)


def discharges_in(states: States) -> list[Discharge]:
    """The discharges that stand, from what a command has folded already."""
    return [found for one in FOLLOW_UPS.answers for found in one.folded(states)]


def losses_in(states: States, settings: MeasurementSettings) -> list[Loss]:
    """What the latest readings have lost against discharges that stand."""
    return [found for one in FOLLOW_UPS.answers for found in one.losses(states, settings)]


def prompts_on_errors(states: States) -> list[Reason]:
    """Asks to look again at each discharge that rests on what was entered in error."""
    return [found for one in FOLLOW_UPS.answers for found in one.on_errors(states)]


def loss_prompt(loss: Loss) -> Reason:
    """Asks to bring the stretch back; nothing resumes by itself outside a re-check."""
    return Reason(
        code="loss_since_discharge",
        text=f"{loss.name}, {loss.side.value}: {movement_words(loss.movement)} is {loss.degrees}°, "
        f"{-loss.change}° less than at discharge ({loss.reference}°): bring the stretch back?",
        source=f"measurement error of {loss.threshold:g}°; practice policy",
        audience=Audience.CLINICAL,
    )


def discharges_of(client_id: UUID) -> list[Discharge]:
    """Every discharge of a client, from the read tables."""
    return [found for one in FOLLOW_UPS.answers for found in one.stored(client_id)]
