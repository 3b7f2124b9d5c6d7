"""Questions on the stretch programme: where each stretch stands, and the call list."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from django.db.models import Min, QuerySet

from practice.clock import clock
from practice.domain.decisions import Actor
from practice.domain.localtime import local_day
from practice.domain.reasons import Reason, existing
from practice.domain.terms import Movement, Side
from practice.eventlog import loading
from practice.models import Facility
from practice.selectors import at_visible_facilities
from sessions.domain.motion.deficits import goal_lookup
from sessions.domain.motion.followup import Discharge
from sessions.domain.motion.state import MOTION
from sessions.domain.programme.goalcheck import (
    Standings,
    proposes_discharge,
    review_prompt,
    standings,
)
from sessions.domain.programme.state import PROGRAMME, Standing
from sessions.models import HomeExercise, Prescription, Recheck, Session
from sessions.selectors.facilities import zone_of
from sessions.selectors.measurement import measurement_settings, norms


@dataclass(frozen=True)
class StretchStanding:
    """What the record says of one stretch now. ``short`` and ``missing`` are sentences."""

    discharge_proposed: bool
    short: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    prompts: list[Reason] = field(default_factory=list)


def standings_of(client_id: UUID) -> dict[UUID, StretchStanding]:
    """Where every stretch of a client stands against its goals, by prescription."""
    states = loading.load(client_id, (MOTION, PROGRAMME))
    settings, now = measurement_settings(), clock.now()
    goal_of = goal_lookup(states[MOTION], settings, norms())
    result: dict[UUID, StretchStanding] = {}
    for key, one in states[PROGRAMME].prescriptions.items():
        found: Standings = standings(one, states[MOTION], goal_of, settings, now)
        prompt = review_prompt(one, found, settings, now)
        result[key] = StretchStanding(
            proposes_discharge(one, found),
            found.short,
            found.missing,
            [prompt] if prompt else [],
        )
    return result


def prescriptions_of(client_id: UUID) -> QuerySet[Prescription]:
    """The stretches of a client."""
    return Prescription.objects.filter(client_id=client_id)


def discharges_of_client(client_id: UUID) -> list[Discharge]:
    """Every discharge of a client's stretches, those that came back since too."""
    return [
        Discharge(
            prescription_id=row.pk,
            at=row.discharged_at,
            on=row.discharged_on,
            movements=tuple(map(Movement, row.movements)),
            side=Side(row.side),
            readings=tuple(UUID(one["reading_id"]) for one in row.references),
            stands=row.standing == Standing.DISCHARGED,
        )
        for row in prescriptions_of(client_id)
        if row.discharged_at is not None and row.discharged_on is not None
    ]


def home_exercises_of(client_id: UUID) -> QuerySet[HomeExercise]:
    """The home exercises of a client, taken back ones too."""
    return HomeExercise.objects.filter(client_id=client_id)


def recheck_list(actor: Actor) -> QuerySet[Recheck]:
    """The re-checks at the facilities that the caller may see, and those bound to none."""
    return at_visible_facilities(actor, Recheck.objects.all(), bound_to_none=True)


def with_next_session(rows: Iterable[Recheck], now: datetime) -> list[Recheck]:
    """The rows with ``next_session_at``, when each client's next booked session starts, and
    ``today``, the local day at the facility: a query each, however many rows.

    The session may be at any facility: the desk only learns that she is coming.
    """
    found = list(rows)
    booked = Session.objects.filter(
        client_id__in={row.client_id for row in found}, status="booked", starts_at__gt=now
    )
    first = booked.order_by("client_id").values_list("client_id").annotate(Min("starts_at"))
    starts = dict(first) if found else {}
    places = Facility.objects.filter(pk__in={row.facility_id for row in found if row.facility_id})
    zones: dict[UUID | None, str] = dict(places.values_list("pk", "zone"))
    zones[None] = zone_of(None)
    for row in found:
        row.next_session_at = starts.get(row.client_id)  # type: ignore[attr-defined]
        row.today = local_day(now, zones.get(row.facility_id, zones[None]))  # type: ignore[attr-defined]
    return found


def recheck_get(actor: Actor, recheck_id: UUID) -> Recheck:
    """One of them; Rejected 404 for any other."""
    return existing(recheck_list(actor).filter(pk=recheck_id).first(), "re-check")


def prescription_get(prescription_id: UUID) -> Prescription:
    """One prescription. Raises Rejected 404."""
    return existing(
        Prescription.objects.filter(pk=prescription_id).first(), "stretch on a programme"
    )
