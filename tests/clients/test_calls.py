"""What came of a call: which times can be, and what it was about. Pure."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from clients.calls.domain.decisions import RecordCall, decide_call
from clients.calls.domain.events import CallOutcome, CallSubject, ClientCalled
from clients.calls.domain.state import CALLS
from tests.dsl import NOW, Scenario, given

RECHECK = CallSubject(reason="recheck_due", id=UUID(int=7))
CONSENT = CallSubject(reason="consent_ending", id=UUID(int=8))
LISTED = (RECHECK, CONSENT)
LATER, EARLIER = NOW + timedelta(seconds=1), NOW - timedelta(hours=1)


def called(outcome: str, **said: Any) -> Scenario:
    command = RecordCall(outcome=CallOutcome(outcome), **said)
    return given(CALLS).when(lambda _state, ctx: decide_call(command, LISTED, ctx))


def test_a_call_is_about_all_that_is_listed_unless_it_is_named() -> None:
    (whole,) = called("reached").events
    assert isinstance(whole, ClientCalled)
    assert whole.about == (CONSENT, RECHECK)
    (one,) = called("reached", about=(RECHECK.id,), note=" Comes on Friday. ").events
    assert isinstance(one, ClientCalled)
    assert (one.about, one.note) == ((RECHECK,), "Comes on Friday.")
    (nothing,) = called("no_answer", about=()).events
    assert isinstance(nothing, ClientCalled)
    assert nothing.about == ()


@pytest.mark.parametrize(
    ("outcome", "said", "field"),
    [
        ("call_again", {}, "again_at"),
        ("call_again", {"again_at": NOW}, "again_at"),
        ("reached", {"again_at": LATER}, "again_at"),
        ("no_answer", {"occurred_at": LATER}, "occurred_at"),
        ("reached", {"about": (UUID(int=9),)}, "about"),
    ],
)
def test_what_cannot_be_is_refused(outcome: str, said: dict[str, Any], field: str) -> None:
    assert called(outcome, **said).rejected("invalid", 400).fields.keys() == {field}


@pytest.mark.parametrize("outcome", ["call_again", "left_message", "no_answer"])
def test_when_to_call_again_is_any_time_to_come(outcome: str) -> None:
    (event,) = called(outcome, again_at=LATER, occurred_at=NOW).events
    assert isinstance(event, ClientCalled)
    assert event.again_at == LATER


def test_what_is_entered_late_has_its_own_time() -> None:
    scenario = called("reached", occurred_at=EARLIER)
    assert scenario.decided is not None
    (dated,) = scenario.decided
    assert getattr(dated, "occurred_at", None) == EARLIER
