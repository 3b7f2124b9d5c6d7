"""Questions on the practice's own tables."""

from practice.selectors.places import (
    at_visible_facilities,
    facility_get,
    practitioners_visible,
    rooms_visible,
    visible_facilities,
    visible_facility_ids,
)
from practice.selectors.rules import (
    competences_of,
    facility_policies,
    licences_of,
    limits_on,
    settings_group,
    supervisor_on,
)

__all__ = [
    "at_visible_facilities",
    "competences_of",
    "facility_get",
    "facility_policies",
    "licences_of",
    "limits_on",
    "practitioners_visible",
    "rooms_visible",
    "settings_group",
    "supervisor_on",
    "visible_facilities",
    "visible_facility_ids",
]
