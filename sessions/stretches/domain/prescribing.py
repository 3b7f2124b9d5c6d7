"""Decisions on the stretches: prescribe, start, discharge, bring back, end. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from clients.permissions.domain.stretch import StretchTag
from practice.core.reasons import Reason, invalid, not_found
from practice.core.terms import Region, Side
from sessions.catalogue.domain.content import StretchContent
from sessions.catalogue.domain.doses import dose_warnings
from sessions.catalogue.domain.settings import DoseSettings
from sessions.catalogue.domain.terms import Dose
from sessions.stretches.domain.prescription_state import PrescriptionState
from sessions.stretches.domain.state import StretchesState


@dataclass(frozen=True)
class CatalogueFacts:
    """The catalogue's entry that is prescribed, and what doses are usual."""

    content: StretchContent
    version: int
    doses: DoseSettings


def standing_prescription(state: StretchesState, prescription_id: UUID) -> PrescriptionState:
    """The prescription, or 404."""
    found = state.prescriptions.get(prescription_id)
    if found is None:
        raise not_found("stretch prescribed for this client")
    return found


def check_stretch_side(content: StretchContent, side: Side) -> None:
    """Refuse a side that the stretch is not done on (400)."""
    one_for_both = content.two_armed or not content.sided
    if one_for_both and side is not Side.BOTH:
        raise invalid("side", "This stretch is for both sides at once: give 'both'.")
    if not one_for_both and side is Side.BOTH:
        raise invalid("side", "This stretch is done on one side: give 'left' or 'right'.")


def prescribing_warnings(doses: tuple[Dose, ...], facts: CatalogueFacts) -> list[Reason]:
    """What is outside the usual in the doses; accepted all the same.

    Preparation and walking are no stretches: nothing is usual for them.
    """
    if {StretchTag.PREPARATION, StretchTag.WALKING} & set(facts.content.tags):
        return []
    neck = facts.content.region is Region.HEAD_AND_NECK
    return [w for dose in doses for w in dose_warnings(dose, facts.doses, neck=neck)]
