"""The words of the calendar's events: closed lists and what their payloads hold. Pure."""

from __future__ import annotations

from enum import StrEnum
from typing import Final
from uuid import UUID

import msgspec

from clients.health.domain.terms import Limb, RedFlag
from clients.permissions.domain.results import HandsOnExtent, UsedRowKind
from practice.core.reasons import Reason
from practice.core.terms import Mode, Side
from sessions.calendar.domain.stretch_groups import StretchGroup, StretchSet


class SessionPurpose(StrEnum):
    """What a session is booked for; an evaluation needs more time for measuring and talk."""

    TREATMENT = "treatment"
    EVALUATION = "evaluation"
    RECHECK = "recheck"


class BookedKind(msgspec.Struct, frozen=True, kw_only=True):
    """The practice's kind that a session was booked as, by its name then, and the minutes
    ``before`` and ``after`` it in which practitioner and room are held."""

    kind_id: UUID
    name: str
    before: int = 0
    after: int = 0


class CancelledBy(StrEnum):
    """Who called a session off."""

    CLIENT = "client"
    PRACTICE = "practice"


class ConfirmedBy(StrEnum):
    """Who said that the client will come."""

    CLIENT = "client"
    GUARDIAN = "guardian"
    COMPANION = "companion"


class ConfirmedHow(StrEnum):
    """How it was said."""

    PHONE = "phone"
    TEXT = "text"
    MAIL = "mail"
    IN_PERSON = "in_person"


class HandsOnToday(StrEnum):
    """The client's answer to "hands-on all right today?"; a standing consent is no answer."""

    YES = "yes"
    NO = "no"
    UNANSWERED = "unanswered"


class NewSwelling(msgspec.Struct, frozen=True, kw_only=True, order=True):
    """A limb that the client says is newly swollen."""

    limb: Limb
    side: Side


class ShoulderToday(msgspec.Struct, frozen=True, kw_only=True):
    """One shoulder: whether it pinches, and to what height (degrees) it is free of pain."""

    side: Side
    pinches: bool
    degrees: float | None = None


class InterpreterToday(msgspec.Struct, frozen=True, kw_only=True):
    """Who interprets, who was asked and is of age, and the client's language they interpret
    (BCP 47)."""

    name: str
    language: str


class SubmittedArrivalAnswers(msgspec.Struct, frozen=True, kw_only=True):
    """The arrival answers of one day; None is a question that was not asked or answered.

    Pain and fatigue 0-10, ``fever_c`` in degrees Celsius, ``feverish`` the client's own word.
    ``usual_pain`` as the client says it today; it counts where it narrows. ``shoulders``:
    whether one pinches and to what height (degrees) it is free of pain today.
    ``chemotherapy``: whether the client is having chemotherapy now. ``needle_in_port``:
    whether a needle is in a port today. ``skin_broken``: how irradiated skin looked today;
    False: looked at and whole. ``other_symptoms`` empty: nothing was said.
    """

    pain_now: int | None = None
    usual_pain: int | None = None
    swelling: tuple[NewSwelling, ...] | None = None
    feverish: bool | None = None
    fever_c: float | None = None
    new_symptoms: tuple[RedFlag, ...] | None = None
    other_symptoms: str = ""
    fatigue: int | None = None
    hands_on_today: HandsOnToday = HandsOnToday.UNANSWERED
    shoulders: tuple[ShoulderToday, ...] | None = None
    chemotherapy: bool | None = None
    companion_present: bool | None = None
    interpreter_present: bool | None = None
    interpreter: InterpreterToday | None = None
    needle_in_port: bool | None = None
    skin_broken: bool | None = None


class KeptRow(msgspec.Struct, frozen=True, kw_only=True):
    """A row of the practice's tables that a verdict rested on, at its revision then."""

    kind: UsedRowKind
    id: UUID
    revision: int


class PermissionsSnapshot(msgspec.Struct, frozen=True, kw_only=True):
    """The permissions of a whole session as evaluated, and what they rested on.

    ``settings`` holds the revision of each group of settings used, ``limit_rows`` the
    ids of the jurisdiction limits, ``catalogue`` the version of the stretches and
    ``rules`` that of the rules in code: the answer to "why was this allowed that day".
    ``provisional``: the day's questions were not all answered yet. ``extent`` and
    ``planned_extent``: how much of the client's programme is by hand, then and if the day
    brings nothing new. ``stretches`` are the verdicts of all of the catalogue with
    ``stretch_reasons``, to which their numbers point; ``programme`` those of them that
    were on the client's programme and are by hand; empty where none were.
    ``rows``: licences, sign-offs, supervision and limits, each at its revision; ``orders``
    the ids of those in force.
    """

    mode: Mode
    extent: HandsOnExtent = HandsOnExtent.NOTHING
    planned_extent: HandsOnExtent = HandsOnExtent.NOTHING
    reasons: tuple[Reason, ...] = ()
    provisional: bool = False
    rules: int = 0
    settings: dict[str, int] = msgspec.field(default_factory=dict)
    record: int = 0
    catalogue: int = 0
    consent_id: UUID | None = None
    limit_rows: tuple[UUID, ...] = ()
    rows: tuple[KeptRow, ...] = ()
    orders: tuple[UUID, ...] = ()
    stretches: tuple[StretchGroup, ...] = ()
    stretch_reasons: tuple[Reason, ...] = ()
    programme: tuple[StretchSet, ...] = ()


PRACTITIONER_ELSEWHERE: Final = "practitioner_elsewhere"
"""The code of the warning that a practitioner does not work at the facility."""


class CorrectedStatus(StrEnum):
    """What a session turned out to be once a slip of the desk was set right."""

    BOOKED = "booked"
    NO_SHOW = "no_show"
    CANCELLED = "cancelled"
