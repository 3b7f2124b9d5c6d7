"""Why an authorization does not cover a day, and the sentence of each choice of a person."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any, cast

import pytest

from billing.authorizations.domain.event_texts import overridden
from billing.authorizations.domain.events import AuthorizationEnded, VisitOverridden
from billing.authorizations.domain.terms import UncoveredReason
from practice.core.events import RecordedEvent
from tests.billing.streams import DAY, STRETCHING, Stream, named


@pytest.mark.parametrize(
    ("day", "reason"),
    [
        (DAY - timedelta(days=1), UncoveredReason.OUTSIDE_PERIOD),
        (DAY, UncoveredReason.AUTHORIZATION_ENDED),
        (DAY + timedelta(days=9), UncoveredReason.AUTHORIZATION_ENDED),
        (DAY + timedelta(days=10), UncoveredReason.OUTSIDE_PERIOD),
    ],
    ids=["before", "first day", "last day", "after"],
)
def test_ended_is_said_of_the_days_of_the_period_both_ends_included(
    day: date, reason: UncoveredReason
) -> None:
    stream = Stream()
    held = stream.authorize(starts_on=DAY, ends_on=DAY + timedelta(days=9))
    before = DAY - timedelta(days=1)
    stream.add(AuthorizationEnded(authorization_id=held, ends_on=before, reason="moved"))
    assert stream.sign({STRETCHING: 30}, day=day).uncovered_reasons == (reason,)


@pytest.mark.parametrize(
    ("chosen", "said"),
    [
        ({"units": {"S": 1}}, "A person chose the code of units of a visit"),
        ({"authorization_id": named("authorization")}, "A person named the authorization"),
        ({"payer_revision": 2}, "The visit was reckoned again by the payer's corrected rules"),
        (
            {"session_id": named("session"), "counted_shared_minutes": 15},
            "A person said whose the shared minutes of a session are: 15 of them",
        ),
    ],
)
def test_each_choice_of_a_person_is_told_as_what_it_was(chosen: dict[str, Any], said: str) -> None:
    event = VisitOverridden(visit_id=named("visit"), reason="asked", **chosen)
    text = overridden(event, cast(RecordedEvent, None))
    assert text.startswith(said)
    assert text.endswith("(asked).")
