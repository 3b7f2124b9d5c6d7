"""What of a client's own record is missing for a session, and whom the desk asks. Pure.

What the session was planned by stands in its reasons; nothing is judged a second time. Where a
paper came after that, nothing turns hands-on by itself: the session is planned anew.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from clients.consent.domain.age import AgeOfConsent
from clients.consent.domain.days import ends_soon
from clients.consent.domain.standing import Consenting, stands, who_consents, who_renews
from clients.consent.domain.state import ConsentFacts
from practice.core.reasons import GENERAL_HEALTH_REASON, Audience, Reason

CONSENT, CONSENT_ENDS, NO_HISTORY, REVIEW = "con", "con-end", "hist", "rev"
CLEARANCE, ANEW, RULE, HEALTH = "clr", "anew", "rule", "hlth"
INTERPRETER, SUPPORT = "int", "sup"

OF_MINOR = {CONSENT: "con-g", CONSENT_ENDS: "con-end-g", NO_HISTORY: "hist-g"}
"""The same where a guardian is asked in the client's place."""

TEXTS = {
    CONSENT: "No touch consent covers it: ask the client.",
    OF_MINOR[CONSENT]: "No touch consent covers it: ask the guardian.",
    CONSENT_ENDS: "The touch consent ends soon: ask the client.",
    OF_MINOR[CONSENT_ENDS]: "The touch consent ends soon: ask the guardian.",
    NO_HISTORY: "No health history: ask the client.",
    OF_MINOR[NO_HISTORY]: "No health history: ask the guardian.",
    REVIEW: "Health history to review: ask the practitioner.",
    CLEARANCE: "A clearance is missing: ask the surgeon or physician.",
    ANEW: "A paper came since it was planned: plan it anew.",
    RULE: "Law, licence, facility or preference: read the session.",
    HEALTH: GENERAL_HEALTH_REASON.text,
    INTERPRETER: "An interpreter is needed: see to one.",
    SUPPORT: "The client wants a support person there.",
}
"""In the order of the sheet: what is missing and whom to ask for it."""

BROUGHT_ALONG = ("consent.support_person", "consent.interpreter", "consent.interpreter_language")
"""Reasons of consent that end when someone comes along: no paper is missing."""
OF_THE_DAY = ("arrival.", "stop", "red_flag.")
"""Reasons that only the day itself brings; the verdict speaks of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A session as it was last evaluated: on which local day it is, when that was, how much
    is by hand (``all_by_hand``) and what stands against the rest. ``age``: from which the client
    consents alone there."""

    day: date
    evaluated_at: datetime | None
    all_by_hand: bool
    age: AgeOfConsent
    reasons: tuple[Reason, ...] = ()


NO_CONSENT = ConsentFacts()


@dataclass(frozen=True, slots=True, kw_only=True)
class OnRecord:
    """What is on record of a client now: touch consent as it stands and when it was recorded, the
    health history, and when a clearance was filed last;
    ``interpreter_needed`` by the client's own details, whatever the consent asks for."""

    birth_date: date | None = None
    consent: ConsentFacts = NO_CONSENT
    consent_recorded_at: datetime | None = None
    interpreter_needed: bool = False
    has_history: bool = False
    reports_waiting: bool = False
    reviewed_at: datetime | None = None
    clearance_filed_at: datetime | None = None


def record_gaps(planned: Planned, known: OnRecord, warning_days: int) -> list[str]:
    """The codes of what is missing, in the order of ``TEXTS``; none twice."""
    found = set(_found(planned, known, warning_days))
    return [code for code in TEXTS if code in found]


def _found(planned: Planned, known: OnRecord, warning_days: int) -> Iterator[str]:
    asked = who_consents(known.consent, known.birth_date, planned.day, planned.age)
    no_history = _of(NO_HISTORY, asked)
    yield from _consent(planned, known, asked, warning_days)
    if known.reviewed_at is None or known.reports_waiting:
        yield REVIEW if known.has_history else no_history
    if planned.all_by_hand:
        return
    for reason in planned.reasons:
        if reason.code.startswith(("consent.", *OF_THE_DAY)):
            continue
        if reason.code.startswith("history.") or reason.code.endswith("not_asked"):
            reviewed_since = _since(known.reviewed_at, planned)
            yield ANEW if reviewed_since else REVIEW if known.has_history else no_history
        elif reason.audience is Audience.EVERYONE:
            yield RULE
        elif reason.code.endswith("no_clearance"):
            yield ANEW if _since(known.clearance_filed_at, planned) else CLEARANCE
        else:
            yield HEALTH


def _consent(
    planned: Planned, known: OnRecord, asked: Consenting, warning_days: int
) -> Iterator[str]:
    consent = known.consent
    counts = stands(consent, known.birth_date, planned.day, planned.age)
    if not counts:
        yield _of(CONSENT, asked)
    elif _names(planned, "consent."):
        yield ANEW if _since(known.consent_recorded_at, planned) else _of(CONSENT, asked)
    if counts and consent.until and ends_soon(planned.day, consent.until, warning_days):
        yield _of(CONSENT_ENDS, who_renews(consent, known.birth_date, planned.age))
    if known.interpreter_needed or (counts and consent.interpreter):
        yield INTERPRETER
    if counts and consent.support_person:
        yield SUPPORT


def _of(code: str, asked: Consenting) -> str:
    return OF_MINOR[code] if asked is Consenting.GUARDIAN else code


def _names(planned: Planned, prefix: str) -> bool:
    """Whether a reason of a kind stands against part of the session."""
    return not planned.all_by_hand and any(
        one.code.startswith(prefix) and one.code not in BROUGHT_ALONG for one in planned.reasons
    )


def _since(at: datetime | None, planned: Planned) -> bool:
    """Whether something came on record after the session was evaluated."""
    return at is not None and planned.evaluated_at is not None and at > planned.evaluated_at
