"""What is missing for a session, from what stands in its reasons and what came since. Pure."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import msgspec
import pytest

from clients.consent.domain.age import AgeOfConsent
from clients.consent.domain.state import ConsentFacts
from clients.consent.domain.terms import ConsentSigner, ConsentStatus
from clients.permissions.domain.results import HandsOnExtent
from practice.core.reasons import Audience, Reason
from sessions.calendar.domain.session_state import SessionStatus
from sessions.calendar.selectors.gaps import cannot_be
from sessions.desk.domain.day_sheet import DeskVerdict, SheetLine, desk_verdict, sheet_headline
from sessions.desk.domain.papers import TEXTS, OnRecord, Planned, record_gaps
from tests.dsl import NOW

DAY = date(2026, 3, 9)
BEFORE, AFTER = NOW - timedelta(days=9), NOW + timedelta(seconds=1)
WARNING_DAYS = 30
AGE = AgeOfConsent(18, "a test")
CONSENT = ConsentFacts(
    status=ConsentStatus.GRANTED, given_on=date(2026, 1, 1), until=date(2026, 12, 31)
)


def reason(code: str, audience: Audience = Audience.EVERYONE) -> Reason:
    return Reason(code=code, text="said in full", source="a test", audience=audience)


def clinical(code: str) -> Reason:
    return reason(code, Audience.CLINICAL)


def gaps(*reasons: Reason, by_hand: bool = False, **known: Any) -> list[str]:
    """Of a client of whom nothing is missing, but for what is named."""
    whole: dict[str, Any] = {
        "consent_recorded_at": BEFORE,
        "has_history": True,
        "reviewed_at": BEFORE,
    }
    names = ConsentFacts.__struct_fields__
    consent = msgspec.structs.replace(CONSENT, **{n: known.pop(n) for n in names if n in known})
    planned = Planned(day=DAY, evaluated_at=NOW, all_by_hand=by_hand, age=AGE, reasons=reasons)
    return record_gaps(planned, OnRecord(consent=consent, **{**whole, **known}), WARNING_DAYS)


def test_nothing_is_missing_where_all_is_on_record() -> None:
    assert gaps() == []
    assert gaps(by_hand=True) == []


@pytest.mark.parametrize(
    ("known", "missing"),
    [
        ({"status": ConsentStatus.WITHDRAWN}, ["con"]),
        ({"status": ConsentStatus.NONE}, ["con"]),
        ({"given_on": DAY}, []),
        ({"given_on": DAY + timedelta(days=1)}, ["con"]),
        ({"until": DAY - timedelta(days=1)}, ["con"]),
        ({"until": DAY}, ["con-end"]),
        ({"until": DAY + timedelta(days=WARNING_DAYS)}, ["con-end"]),
        ({"until": DAY + timedelta(days=WARNING_DAYS + 1)}, []),
        ({"has_history": False, "reviewed_at": None}, ["hist"]),
        ({"reviewed_at": None}, ["rev"]),
        ({"reports_waiting": True}, ["rev"]),
        ({"interpreter": True, "support_person": True}, ["int", "sup"]),
    ],
)
def test_consent_counts_on_the_day_of_the_session_and_a_history_once_reviewed(
    known: dict[str, Any], missing: list[str]
) -> None:
    """Ruling 36: a consent that ends within thirty days is named; both days included."""
    assert gaps(**known) == missing
    assert gaps(by_hand=True, **known) == missing


def test_of_a_minor_the_guardian_is_asked() -> None:
    """Ruling 56: on the day of the session; for the consent that follows, on the day it would
    begin."""
    minor: dict[str, Any] = {"birth_date": date(2008, 3, 10)}
    of_age: dict[str, Any] = {"birth_date": date(2008, 3, 9)}
    signed: dict[str, Any] = {
        "given_on": date(2026, 3, 9),
        "reviewed_at": None,
        "has_history": False,
    }
    assert gaps(**minor, **signed) == ["con-g", "hist-g"]
    assert gaps(**of_age, **signed) == ["hist"]
    guardian: dict[str, Any] = {"signer": ConsentSigner.GUARDIAN}
    assert gaps(**minor, **guardian) == []
    assert gaps(**of_age, **guardian) == ["con"]
    ends: dict[str, Any] = {**guardian, "until": DAY}
    assert gaps(**minor, **ends) == ["con-end"]
    assert gaps(birth_date=date(2008, 3, 11), **ends) == ["con-end-g"]
    assert gaps(reason("consent.region"), **minor, **guardian) == ["con-g"]
    assert "ask the guardian" in TEXTS["con-g"]


def test_a_clearance_is_missing_until_one_was_filed_then_the_session_is_planned_anew() -> None:
    """Ruling 28: nothing turns hands-on by itself; ruling 20: papers by kind only."""
    asks = clinical("surgery.no_clearance")
    assert gaps(asks) == ["clr"]
    assert gaps(asks, clearance_filed_at=NOW) == ["clr"]
    assert gaps(asks, clearance_filed_at=AFTER) == ["anew"]
    assert gaps(asks, by_hand=True) == []


def test_a_consent_that_came_since_makes_no_session_hands_on_by_itself() -> None:
    region = reason("consent.region")
    assert gaps(region) == ["con"]
    assert gaps(region, consent_recorded_at=AFTER) == ["anew"]
    assert gaps(reason("history.not_reviewed"), reviewed_at=AFTER) == ["anew"]
    assert gaps(reason("history.not_reviewed")) == ["rev"]


def test_who_is_to_come_along_is_no_paper_that_is_missing() -> None:
    assert gaps(reason("consent.interpreter"), interpreter=True) == ["int"]
    assert gaps(reason("consent.support_person"), support_person=True) == ["sup"]


def test_the_desk_reads_one_general_word_for_every_health_reason() -> None:
    """Ruling 20."""
    assert gaps(clinical("bone.metastasis"), clinical("neck.injury")) == ["hlth"]
    assert gaps(reason("law.not_allowed")) == ["rule"]
    told = " ".join(TEXTS.values()).lower()
    assert not any(word in told for word in ("metastasis", "neck", "bone", "surgery"))


def test_what_nobody_asked_is_part_of_the_history() -> None:
    not_asked = clinical("neck.not_asked")
    assert gaps(not_asked) == ["rev"]
    assert gaps(not_asked, has_history=False, reviewed_at=None) == ["hist"]
    assert gaps(not_asked, reviewed_at=AFTER) == ["anew"]


def test_what_the_day_said_is_in_the_verdict_and_missing_nowhere() -> None:
    assert gaps(reason("arrival.not_answered"), clinical("red_flag.chest_pain")) == []


def test_the_verdict_is_one_word_and_fetching_the_practitioner_outweighs_all() -> None:
    assert desk_verdict(HandsOnExtent.ALL, []) is DeskVerdict.ALL
    assert desk_verdict(HandsOnExtent.PART, [reason("consent.region")]) is DeskVerdict.PART
    assert desk_verdict(HandsOnExtent.NOTHING, []) is DeskVerdict.NOTHING
    for code in ("arrival.fetch_practitioner", "arrival.words_unreviewed"):
        assert desk_verdict(HandsOnExtent.ALL, [reason(code)]) is DeskVerdict.FETCH


def line(verdict: str, status: str = "booked", *gaps: str, said: bool = False) -> SheetLine:
    return SheetLine(DeskVerdict(verdict), SessionStatus(status), gaps, said)


@pytest.mark.parametrize(
    ("code", "barred"),
    [
        ("practitioner_absent", True),
        ("facility_closed", True),
        ("facility_closed_for_good", True),
        ("practitioner_left", True),
        ("practitioner_elsewhere", True),
        ("absent_overruled", False),
        ("room_out_of_use", False),
        ("con", False),
    ],
)
def test_with_whom_or_where_nobody_can_be_is_not_held_as_booked(code: str, barred: bool) -> None:
    assert cannot_be(["aut", code]) is barred


def test_the_headline_says_the_worst_first() -> None:
    lines = [
        line("all", said=True),
        line("nothing", "booked", "con", "hist"),
        line("fetch", "arrived"),
        line("part", "completed", "con"),
    ]
    assert sheet_headline(lines) == (
        "Fetch the practitioner 1, nothing hands-on 1, all hands-on 1. "
        "Something is missing for 1. Not confirmed 1."
    )
    ill = [replace(one, barred=True) for one in lines]
    assert sheet_headline(ill) == (
        "Fetch the practitioner 1, cannot be as booked 2. "
        "Something is missing for 1. Not confirmed 1."
    )
    assert sheet_headline([line("all", "no_show")]) == "No session is still to come."
    assert sheet_headline([]) == "No sessions."
