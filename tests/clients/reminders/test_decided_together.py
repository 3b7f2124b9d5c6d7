"""Reminders of one kind that are decided on together, by rows read at once: as each alone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from uuid import UUID

import pytest
from msgspec import structs

from clients.consent.reminders import CONSENT_EXPIRING
from clients.reminders.domain.kinds import Question, ReminderKind, Wanted
from clients.reminders.services.making import question
from practice.clock import clock
from sessions.booking.selectors.reminders import SESSION_TOMORROW
from sessions.stretches.models import Recheck
from sessions.stretches.selectors.reminders import RECHECK_DUE
from tests.bench.statements import asking, listening
from tests.builders import Built
from tests.clients.reminders.given import booked_tomorrow, reachable, rule
from tests.harness.reminders_due import overdue
from tests.sessions.people import consent, open_client, tell

pytestmark = pytest.mark.django_db


def ask(kind: ReminderKind, client_id: UUID, about: UUID, occasion: str = "1 v1") -> Question:
    return question(kind, client_id=client_id, about=about, occasion=occasion, now=clock.now())


def together(kind: ReminderKind, questions: Sequence[Question]) -> list[Wanted | None]:
    """What is decided on all at once, and of each alone the same."""
    decide = kind.decider(questions)
    found = [decide(one) for one in questions]
    assert found == [kind.decider([one])(one) for one in questions]
    return found


def rechecks(built: Built) -> list[Question]:
    """Overdue: of a client with a session near today, of two without; of one done, of none."""
    carried, free, done = (reachable(built) for _ in range(3))
    booked_tomorrow(built, carried, days=2)
    asked = [
        ask(RECHECK_DUE, one, about)
        for one, count in ((carried, 1), (free, 2), (done, 1))
        for about in overdue(one, count)
    ]
    Recheck.objects.filter(client_id=done).update(status="completed")
    return [*asked, ask(RECHECK_DUE, free, UUID(int=7))]


def sessions(built: Built) -> list[Question]:
    """Of three clients, one after the other."""
    asked = []
    for hour in (11, 13, 15):
        one = reachable(built)
        session = booked_tomorrow(built, one, hour=hour)
        asked.append(ask(SESSION_TOMORROW, one, UUID(session["id"])))
    return asked


def consents(built: Built) -> list[Question]:
    """Of three clients, of whom two have the same last day."""
    asked = []
    for days in (20, 25, 25):
        one = open_client(built)
        given = structs.replace(consent(), until=clock.now().date() + timedelta(days=days))
        tell(built, one, given)
        asked.append(ask(CONSENT_EXPIRING, one, given.consent_id))
    return asked


def test_a_session_carries_the_rechecks_of_its_own_client_alone(built: Built) -> None:
    found = together(RECHECK_DUE, rechecks(built))
    assert [one is not None for one in found] == [False, True, True, False, False]


def test_each_step_of_a_recheck_is_decided_by_itself(built: Built) -> None:
    one = reachable(built)
    (about,) = overdue(one, 1)
    asked = [ask(RECHECK_DUE, one, about, f"{weeks} v1") for weeks in (0, 1, 99)]
    said = [one and one.occasion for one in together(RECHECK_DUE, asked)]
    assert said == ["day", "overdue 1", None]


def test_each_session_is_told_at_its_own_time(built: Built) -> None:
    said = [one and one.facts["time"].hour for one in together(SESSION_TOMORROW, sessions(built))]
    assert said == [11, 13, 15]


def test_each_consent_ends_on_its_own_day(built: Built) -> None:
    asked = consents(built)
    today = clock.now().date()
    ends = [today + timedelta(days=days) for days in (20, 25, 25)]
    assert [one and one.day for one in together(CONSENT_EXPIRING, asked)] == ends
    mixed = ask(CONSENT_EXPIRING, asked[0].client_id, asked[1].about)
    assert together(CONSENT_EXPIRING, [mixed, asked[1]])[0] is None, "it is of another client"


def test_a_kind_that_is_off_is_wanted_by_none_of_them(built: Built) -> None:
    rule("session_tomorrow", is_on=False)
    assert together(SESSION_TOMORROW, sessions(built)) == [None] * 3


@pytest.mark.postgresql
@pytest.mark.parametrize(
    "kind", [RECHECK_DUE, SESSION_TOMORROW, CONSENT_EXPIRING], ids=lambda k: k.name
)
def test_many_are_read_with_as_many_statements_as_one(built: Built, kind: ReminderKind) -> None:
    """Consents of one last day; each day has its own question of ages."""
    made = {RECHECK_DUE.name: rechecks, SESSION_TOMORROW.name: sessions}.get(kind.name, consents)
    asked = made(built)[1:]
    together(kind, asked)
    counts = []
    for some in (asked[:1], asked):
        with listening() as heard:
            kind.decider(some)
        counts.append(asking(heard))
    assert counts[0] == counts[1] > 0
