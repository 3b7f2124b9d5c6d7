"""When re-checks fall: calendar months in the facility's zone, moved to an open day. Pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import UUID

from dateutil.relativedelta import relativedelta

from practice.core.localtime import day_bounds, derived_instant
from sessions.calendar.domain.facility_calendar import FacilityCalendar
from sessions.stretches.domain.events import PlannedRecheck
from sessions.stretches.domain.settings import RecheckSettings


def months_after(day: date, months: int) -> date:
    """The same day of the month some calendar months later, clipped at the month's end."""
    return day + relativedelta(months=months)


@dataclass(frozen=True)
class RecheckPlan:
    """How re-checks are dated: the practice's policy and the place's calendar."""

    policy: RecheckSettings
    calendar: FacilityCalendar
    new_id: Callable[[], UUID]

    def on(self, discharged_on: date, months: int) -> PlannedRecheck:
        """The re-check some months after a discharge. Each is counted from the discharge."""
        due_on = self.calendar.open_day_from(months_after(discharged_on, months))
        call_day = due_on - timedelta(days=self.policy.lead_days)
        call_at = derived_instant(
            datetime.combine(call_day, time(self.policy.call_hour)), self.calendar.zone
        )
        return PlannedRecheck(
            recheck_id=self.new_id(),
            months=months,
            due_on=due_on,
            due_at=day_bounds(due_on, self.calendar.zone)[0],
            call_at=call_at,
        )

    def first(self, discharged_on: date) -> tuple[PlannedRecheck, ...]:
        """The fixed intervals after a discharge."""
        return tuple(self.on(discharged_on, months) for months in self.policy.intervals_months)

    def following(self, discharged_on: date, last_months: int, done_on: date) -> PlannedRecheck:
        """The next yearly one after the last that was planned.

        Intervals that had passed when it was done late fall away: the first one counts
        that a reading of that day would not do already.
        """
        months = last_months + self.policy.then_every_months
        found = self.on(discharged_on, months)
        while found.due_on <= done_on + timedelta(days=self.policy.early_days):
            months += self.policy.then_every_months
            found = self.on(discharged_on, months)
        return found
