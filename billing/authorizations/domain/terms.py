"""Billing's closed lists. A value travels in JSON and stands in events, so it is never renamed."""

from __future__ import annotations

from enum import StrEnum

from practice.core.terms import Credential


class Discipline(StrEnum):
    """Whose treatment day it is; minutes of two disciplines are never added up."""

    PHYSICAL_THERAPY = "physical_therapy"
    OCCUPATIONAL_THERAPY = "occupational_therapy"
    MASSAGE_THERAPY = "massage_therapy"
    PERSONAL_TRAINING = "personal_training"


DISCIPLINE_OF: dict[Credential, Discipline] = {
    Credential.PHYSICAL_THERAPIST: Discipline.PHYSICAL_THERAPY,
    Credential.OCCUPATIONAL_THERAPIST: Discipline.OCCUPATIONAL_THERAPY,
    Credential.MASSAGE_THERAPIST: Discipline.MASSAGE_THERAPY,
    Credential.PERSONAL_TRAINER: Discipline.PERSONAL_TRAINING,
    Credential.PHYSICAL_THERAPIST_ASSISTANT: Discipline.PHYSICAL_THERAPY,
    Credential.OCCUPATIONAL_THERAPY_ASSISTANT: Discipline.OCCUPATIONAL_THERAPY,
}


class CoverageStatus(StrEnum):
    """How far an authorization covers a visit."""

    COVERED = "covered"
    PARTLY = "partly"
    NOT = "not_covered"


class UncoveredReason(StrEnum):
    """Why a visit, or some of its minutes, is not covered."""

    NO_AUTHORIZATION = "no_authorization"
    AWAITING_CO_SIGNATURE = "awaiting_co_signature"
    OUTSIDE_PERIOD = "outside_period"
    AUTHORIZATION_ENDED = "authorization_ended"
    GIVEN_BACK = "given_back"
    NO_VISITS_LEFT = "no_visits_left"
    NO_UNITS_LEFT = "no_units_left"
    UNITS_SHORT = "units_short"
    NO_MINUTES_LEFT = "no_minutes_left"
    MINUTES_SHORT = "minutes_short"
    UNDER_EIGHT_MINUTES = "under_eight_minutes"
    CREDENTIAL_NOT_PAID = "credential_not_paid"
    PRACTITIONER_NOT_AUTHORIZED = "practitioner_not_authorized"
    NO_SERVICE_CODE = "no_service_code"
    CODE_NOT_AUTHORIZED = "code_not_authorized"
    OVERLAPPING_TIME = "overlapping_time"
    BEYOND_CLOCK = "beyond_clock"
    NO_GROUP = "no_group"


UNCOVERED_REASON_TEXT: dict[UncoveredReason, str] = {
    UncoveredReason.NO_AUTHORIZATION: "No authorization is on record for this client.",
    UncoveredReason.AWAITING_CO_SIGNATURE: (
        "A note waits for the supervisor's co-signature; nothing is drawn for it until then."
    ),
    UncoveredReason.OUTSIDE_PERIOD: "The day lies outside the period of every authorization.",
    UncoveredReason.AUTHORIZATION_ENDED: "The authorization had been ended.",
    UncoveredReason.GIVEN_BACK: (
        "A person gave the visit back; it is covered again only when a person says so."
    ),
    UncoveredReason.NO_VISITS_LEFT: "No authorized visit was left.",
    UncoveredReason.NO_UNITS_LEFT: "No authorized unit was left.",
    UncoveredReason.UNITS_SHORT: "Fewer authorized units were left than the day's minutes earn.",
    UncoveredReason.NO_MINUTES_LEFT: "Fewer than eight authorized minutes were left.",
    UncoveredReason.MINUTES_SHORT: "Fewer authorized minutes were left than were given.",
    UncoveredReason.UNDER_EIGHT_MINUTES: "Under eight timed minutes in all earn no unit.",
    UncoveredReason.CREDENTIAL_NOT_PAID: "The payer does not pay for the time of this credential.",
    UncoveredReason.PRACTITIONER_NOT_AUTHORIZED: "The authorization names other practitioners.",
    UncoveredReason.NO_SERVICE_CODE: (
        "The practice's map has no service code for this part and credential."
    ),
    UncoveredReason.CODE_NOT_AUTHORIZED: "The authorization does not name this service code.",
    UncoveredReason.OVERLAPPING_TIME: (
        "Minutes are shared with another session of the client or of the practitioner and count "
        "once; a person says whose they are."
    ),
    UncoveredReason.BEYOND_CLOCK: (
        "More minutes were noted than lie between the session's start and end."
    ),
    UncoveredReason.NO_GROUP: (
        "Nobody else's place in the class is signed: a group is two or more at once."
    ),
}


class UndecidedReason(StrEnum):
    """Why a person must say which code gets a unit."""

    EQUAL_REMAINDERS = "equal_remainders"
    UNITS_SHORT = "units_short"
    UNCERTAIN_MINUTES = "uncertain_minutes"


UNDECIDED_REASON_TEXT: dict[UndecidedReason, str] = {
    UndecidedReason.EQUAL_REMAINDERS: (
        "Two codes have equal minutes left over: a person says which gets the unit."
    ),
    UndecidedReason.UNITS_SHORT: (
        "Several codes share fewer authorized units than they earn: a person says which gets them."
    ),
    UndecidedReason.UNCERTAIN_MINUTES: (
        "Minutes are shared with another session: a person says whose they are."
    ),
}


class SharedTimeAnswer(StrEnum):
    """Whose minutes are those that several sessions share, as a person said."""

    ALL_TO_ONE = "all_to_one"
    DIVIDED = "divided"
    GROUP = "group"
