"""What open times are asked for, and what that means for the clock. Pure."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from uuid import UUID

from practice.core.reasons import invalid
from practice.core.terms import Credential, Gender
from sessions.booking.domain.open_times import OpenTimesRequest
from sessions.booking.domain.spread import OfferOrder
from sessions.calendar.domain.held_time import NO_BUFFERS, Buffers
from sessions.calendar.domain.settings import CalendarSettings
from sessions.calendar.domain.terms import SessionPurpose
from sessions.kinds.domain.kind import SessionKind, check_bookable, check_length, purpose_of


class PartOfDay(StrEnum):
    """In which part of the facility's day a session begins; its hours are settings."""

    MORNING = "morning"
    AFTERNOON = "afternoon"
    EVENING = "evening"


@dataclass(frozen=True, kw_only=True)
class OpenTimesQuery:
    """For whom, local days (both included), a length in minutes, and what narrows it.

    ``minutes`` 0: the usual length of the kind; ``purpose`` None: treatment.

    ``weekdays``: ISO, Monday 1. ``earliest`` and ``latest``: of the facility's clock.
    ``hands_on``: only where something can be done by hand; ``covered``: only where a payer's
    authorization covers it, or the client pays; ``with_unsuitable``: times too that do not suit
    the client.
    """

    client_id: UUID
    first_day: date
    last_day: date
    minutes: int = 0
    kind_id: UUID | None = None
    purpose: SessionPurpose | None = None
    facility_id: UUID | None = None
    practitioner_id: UUID | None = None
    gender: Gender | None = None
    credential: Credential | None = None
    weekdays: frozenset[int] = frozenset()
    part_of_day: PartOfDay | None = None
    earliest: time | None = None
    latest: time | None = None
    private_room: bool = False
    hands_on: bool = False
    covered: bool = False
    with_unsuitable: bool = False
    order: OfferOrder = OfferOrder.SPREAD

    def of_kind(self, kind: SessionKind | None) -> OpenTimesQuery:
        """The same with what follows from the kind. Raises Rejected where it does not fit it."""
        if kind is None:
            return self
        check_bookable(kind)
        minutes = self.minutes or kind.default_minutes
        check_length(kind, minutes)
        return replace(
            self,
            minutes=minutes,
            purpose=purpose_of(kind, self.purpose),
            private_room=self.private_room or kind.private_room,
        )

    def request(
        self, settings: CalendarSettings, now: datetime, buffers: Buffers = NO_BUFFERS
    ) -> OpenTimesRequest:
        """The question to the calendar. Raises Rejected 400 for one that cannot be."""
        self._check(settings)
        noon, evening = time(settings.afternoon_hour), time(settings.evening_hour)
        begins = {PartOfDay.AFTERNOON: noon, PartOfDay.EVENING: evening}
        ends = {PartOfDay.MORNING: noon, PartOfDay.AFTERNOON: evening}
        earliest = [self.earliest] if self.earliest else []
        if self.part_of_day in begins:
            earliest.append(begins[self.part_of_day])
        return OpenTimesRequest(
            first_day=self.first_day,
            last_day=self.last_day,
            length=self.minutes,
            step=settings.open_times_step_minutes,
            not_before=now,
            buffers=buffers,
            weekdays=self.weekdays,
            earliest=max(earliest, default=None),
            begins_before=ends.get(self.part_of_day) if self.part_of_day else None,
            latest=self.latest,
        )

    def _check(self, settings: CalendarSettings) -> None:
        if not self.minutes:
            raise invalid("minutes", "Give the length in minutes, or the kind of session.")
        least, most = settings.shortest_session_minutes, settings.longest_session_minutes
        if not least <= self.minutes <= most:
            raise invalid("minutes", f"A session lasts {least} to {most} minutes here.")
        if self.last_day < self.first_day:
            raise invalid("to", "The last day lies before the first.")
        if self.last_day - self.first_day >= timedelta(days=settings.open_times_days):
            raise invalid("to", f"Ask for at most {settings.open_times_days} days at once.")
        if self.earliest and self.latest and self.latest <= self.earliest:
            raise invalid("latest", "It lies before the earliest start.")
