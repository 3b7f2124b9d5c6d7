"""What a flag for place or practitioner keeps of what stood before it (pure)."""

from __future__ import annotations

import pytest

from practice.core.reasons import Reason
from practice.core.terms import Mode
from sessions.calendar.domain.place_flags import over
from sessions.calendar.domain.session_state import SessionFlag


def flag(*codes: str) -> SessionFlag:
    reasons = tuple(Reason(code=one, text=one, source="x") for one in codes)
    return SessionFlag(Mode.NOT_TODAY, reasons, "settings")


CONSENT = flag("consent.sites")
CLOSED = flag("facility.closed", "consent.sites")


def test_a_flag_of_the_client_keeps_nothing_before_it() -> None:
    assert over(CLOSED, CONSENT).before is None


@pytest.mark.parametrize("stood", [None, CONSENT])
def test_the_first_fact_of_the_practice_keeps_what_stood(stood: SessionFlag | None) -> None:
    assert over(stood, CLOSED).before == stood


def test_a_second_fact_of_the_practice_keeps_what_the_first_kept() -> None:
    first = over(CONSENT, CLOSED)
    assert over(first, flag("practitioner.left", "consent.sites")).before == CONSENT


def test_what_came_of_the_client_meanwhile_stays_without_the_facts_of_the_practice() -> None:
    first = over(None, flag("facility.closed"))
    kept = over(first, CLOSED).before
    assert kept is not None
    assert [one.code for one in kept.reasons] == ["consent.sites"]
    assert kept.now is Mode.NOT_TODAY
