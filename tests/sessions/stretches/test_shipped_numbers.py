"""Shipped numbers of doses and re-checks at their boundary, both sides."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest

from practice.core.terms import Technique
from sessions.catalogue.domain.doses import dose_warnings
from sessions.catalogue.domain.terms import Dose
from sessions.stretches.domain.call_list import UpcomingSession, covering_session
from tests.sessions.shipped import DOSES, RECHECKS


def contract_relax(repetitions: int = 3, hold: int = 10) -> Dose:
    return Dose(
        technique=Technique.CONTRACT_RELAX,
        repetitions=repetitions,
        hold_seconds=hold,
        contract_seconds=5,
    )


def passive(repetitions: int) -> Dose:
    return Dose(technique=Technique.PASSIVE, repetitions=repetitions, hold_seconds=30)


@pytest.mark.parametrize(("cycles", "usual"), [(2, False), (3, True), (4, False)])
def test_contract_relax_has_three_cycles(cycles: int, usual: bool) -> None:
    # Common practice, no source.
    assert (dose_warnings(contract_relax(repetitions=cycles), DOSES) == []) is usual


@pytest.mark.parametrize(("seconds", "usual"), [(9, False), (10, True), (30, True), (31, False)])
def test_contract_relax_is_held_10_to_30_seconds(seconds: int, usual: bool) -> None:
    # Garber 2011, ACSM, from memory: 10 to 30 s of assisted stretch after the contraction.
    assert (dose_warnings(contract_relax(hold=seconds), DOSES) == []) is usual


@pytest.mark.parametrize(("times", "usual"), [(1, True), (4, True), (5, False)])
def test_passive_is_done_one_to_four_times(times: int, usual: bool) -> None:
    # Up to four: 60 s in all at the shortest hold, Garber 2011, ACSM; one: common practice.
    assert (dose_warnings(passive(times), DOSES) == []) is usual


@pytest.mark.parametrize(
    ("days", "carries"), [(-15, False), (-14, True), (7, True), (8, False)], ids=str
)
def test_a_session_fourteen_days_before_to_seven_after_carries_a_re_check(
    days: int, carries: bool
) -> None:
    # Practice policy.
    due = datetime(2026, 6, 15, tzinfo=UTC)
    begin = due + timedelta(days=days, hours=15)
    session = UpcomingSession(UUID(int=3), begin, begin + timedelta(hours=1))
    found = covering_session(
        due.date(),
        "UTC",
        [session],
        RECHECKS,
        datetime(2026, 1, 1, tzinfo=UTC),
    )
    assert (found == session) is carries
