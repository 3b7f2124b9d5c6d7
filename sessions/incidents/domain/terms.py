"""The words of safety incidents, as closed lists.

A value is what travels in JSON and stands in events, so it is never renamed.
"""

from __future__ import annotations

from enum import StrEnum


class IncidentKind(StrEnum):
    """What happened to a client. ``LASTING_PAIN``: pain that stayed after a session."""

    FALL = "fall"
    FAINT = "faint"
    SKIN_TORN = "skin_torn"
    LASTING_PAIN = "lasting_pain"
    OTHER = "other"


class IncidentStatus(StrEnum):
    """Where the follow-up of an incident stands."""

    OPEN = "open"
    CLOSED = "closed"
    IN_ERROR = "in_error"


class ToldWhom(StrEnum):
    """Who was told of an incident."""

    CLIENT = "client"
    FAMILY = "family"
    GUARDIAN = "guardian"
    SURGEON = "surgeon"
    PHYSICIAN = "physician"
    EMERGENCY_SERVICES = "emergency_services"
    OWNER = "owner"
    SUPERVISOR = "supervisor"
    INSURER = "insurer"
    OTHER = "other"


class IncidentStepKind(StrEnum):
    """What happened to an incident after it was reported."""

    TOLD = "told"
    FOLLOWED_UP = "followed_up"
    CLOSED = "closed"
    REOPENED = "reopened"
