"""The words of papers that are waited for, as closed lists.

A value is what travels in JSON and stands in events, so it is never renamed.
"""

from __future__ import annotations

from enum import StrEnum


class PaperKind(StrEnum):
    """What is waited for. ``OTHER`` has a title of the practice's own list."""

    CLEARANCE = "clearance"
    REFERRAL = "referral"
    PLAN_SIGNATURE = "plan_signature"
    OTHER = "other"


class AskedRole(StrEnum):
    """What the one is who was asked for a paper."""

    SURGEON = "surgeon"
    PHYSICIAN = "physician"
    PAYER = "payer"
    CLIENT = "client"
    OTHER = "other"


class PaperChannel(StrEnum):
    """How a paper was sent or somebody was reminded of it."""

    MAIL = "mail"
    EMAIL = "email"
    FAX = "fax"
    PHONE = "phone"
    PORTAL = "portal"
    IN_PERSON = "in_person"


class PaperOutcome(StrEnum):
    """How a paper was answered."""

    GIVEN = "given"
    PARTLY = "partly"
    REFUSED = "refused"


class PaperStatus(StrEnum):
    """Where a paper stands."""

    WAITING = "waiting"
    ANSWERED = "answered"
    WITHDRAWN = "withdrawn"


class PaperStepKind(StrEnum):
    """What happened to a paper after it was asked for."""

    SENT = "sent"
    REMINDED = "reminded"
    ANSWERED = "answered"
    ORDER_LINKED = "order_linked"
    WITHDRAWN = "withdrawn"
