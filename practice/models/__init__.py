"""The practice's own tables: ordinary rows with change history, one concern a file."""

from practice.models.facilities import Facility, FacilityPolicy, OpeningHours, Room
from practice.models.limits import JurisdictionLimit, Pathology
from practice.models.people import AccessToken, Staff
from practice.models.practitioners import (
    Competence,
    Licence,
    Practitioner,
    Supervision,
    WorkingHours,
)
from practice.models.settings import PRACTICE_ID, Practice, PracticeSetting, SettingChange

__all__ = [
    "PRACTICE_ID",
    "AccessToken",
    "Competence",
    "Facility",
    "FacilityPolicy",
    "JurisdictionLimit",
    "Licence",
    "OpeningHours",
    "Pathology",
    "Practice",
    "PracticeSetting",
    "Practitioner",
    "Room",
    "SettingChange",
    "Staff",
    "Supervision",
    "WorkingHours",
]
