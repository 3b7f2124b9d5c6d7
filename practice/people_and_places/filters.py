"""Filters of facilities, rooms, practitioners, supervisions and accounts."""

from __future__ import annotations

import django_filters

from practice.core.terms import Credential, Role
from practice.http.filters import (
    ChoiceFilter,
    DayFilter,
    FilterSet,
    JurisdictionFilter,
    StrictBooleanFilter,
)
from practice.people_and_places.models.facilities import Facility, Room
from practice.people_and_places.models.practitioners import Practitioner, Supervision
from practice.people_and_places.models.staff import Staff


class FacilityFilter(FilterSet):
    """Filters of the list of facilities."""

    jurisdiction = JurisdictionFilter(help_text="ISO 3166-2 code, e.g. `US-CA`.")
    is_active = StrictBooleanFilter(help_text="false for those that have closed.")

    class Meta:
        model = Facility
        fields = ("jurisdiction", "is_active")


class RoomFilter(FilterSet):
    """Filters of the list of rooms."""

    facility_id = django_filters.UUIDFilter(help_text="Rooms of one facility.")
    is_active = StrictBooleanFilter(help_text="false for those out of use.")

    class Meta:
        model = Room
        fields = ("facility_id", "is_active")


class PractitionerFilter(FilterSet):
    """Filters of the list of practitioners."""

    facility_id = django_filters.UUIDFilter(
        field_name="facilities", help_text="Those who work at one facility."
    )
    credential = ChoiceFilter(
        choices=[(c.value, c.value) for c in Credential], help_text="Those of one credential."
    )
    is_active = StrictBooleanFilter(help_text="false for those who have left.")

    class Meta:
        model = Practitioner
        fields = ("facility_id", "credential", "is_active")


class SupervisionFilter(FilterSet):
    """Filters of the list of supervisions."""

    facility_id = django_filters.UUIDFilter(help_text="At one facility.")
    supervised_id = django_filters.UUIDFilter(help_text="Of one practitioner.")
    from_ = DayFilter("day", "gte", help_text="From this local day on.")
    to_ = DayFilter("day", "lte", help_text="Until this local day, included.")

    class Meta:
        model = Supervision
        fields = ("facility_id", "supervised_id")


class StaffFilter(FilterSet):
    """Filters of the list of accounts."""

    role = ChoiceFilter(
        choices=[(r.value, r.value) for r in Role], help_text="Accounts of one role."
    )
    is_active = StrictBooleanFilter(help_text="false for leavers.")

    class Meta:
        model = Staff
        fields = ("role", "is_active")
