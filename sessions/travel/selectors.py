"""Questions on the travel times between facilities."""

from __future__ import annotations

from types import MappingProxyType
from uuid import UUID

from django.db.models import QuerySet

from practice.core.reasons import existing
from practice.work.request_cache import memoize
from sessions.travel.domain.travel import TravelTimes
from sessions.travel.models import TravelTime


def travel_time_list() -> QuerySet[TravelTime]:
    """All of the practice."""
    return TravelTime.objects.all()


def travel_time_get(travel_time_id: UUID) -> TravelTime:
    """One of them. Raises Rejected 404."""
    return existing(travel_time_list().filter(pk=travel_time_id).first(), "travel time")


def travel_times() -> TravelTimes:
    """All of them, kept in the process for as long as no row of the practice changes."""
    return memoize("travel times", _travel_times)


def _travel_times() -> TravelTimes:
    return MappingProxyType(
        {
            frozenset((row.facility_id, row.other_facility_id)): row.minutes
            for row in travel_time_list()
        }
    )
