"""Twenty signatures at one moment against five visits left; with the guard, and without."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from typing import Any
from uuid import UUID

import pytest
from msgspec import structs

from billing.authorizations.domain.state import AUTHORIZATION_BALANCE, AuthorizationBalance
from billing.authorizations.models import Authorization, Visit
from billing.payers.models import Payer
from billing.visits.domain.coverage import CoverSelection
from billing.visits.domain.reactors import react_to_note
from billing.visits.selectors import overlaps
from billing.visits.selectors.coverage import preview_coverage
from billing.visits.selectors.reactor import CALCULATE_VISIT
from billing.visits.services import coverage
from practice.core.appspec import installed
from practice.core.decisions import States
from practice.core.reasons import Rejected
from practice.jobs.services import run_due_jobs
from practice.people_and_places.models.practitioners import Practitioner
from practice.work.loading import load_states
from practice.work.unit_of_work import unit_of_work
from tests.billing.practice_rows import ACTOR, client_with, note_on, payer, sign
from tests.eventstore.test_races import no_row_locks, together
from tests.races.lifted import shown_within_rounds
from tests.races.meeting import before_writing

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]
AT_ONCE, LEFT = 20, 5


def signed_at_once() -> tuple[UUID, UUID, list[Any]]:
    client_id, authorization_id = client_with(payer().pk, visits=LEFT, units=100)
    notes = [note_on(number) for number in range(AT_ONCE)]
    return client_id, authorization_id, together(lambda n: sign(client_id, notes[n]), AT_ONCE)


def tally(client_id: UUID, authorization_id: UUID) -> tuple[int, int, int]:
    """Visits covered, visits listed as not covered, visits used of the authorization."""
    visits = Visit.objects.filter(client_id=client_id)
    without = visits.filter(covered="not_covered", uncovered_reason_codes="|no_visits_left|")
    used = Authorization.objects.get(pk=authorization_id).visits_used
    return visits.filter(covered="covered").count(), without.count(), used


def test_exactly_the_visits_left_are_covered_and_none_is_lost() -> None:
    client_id, authorization_id, results = signed_at_once()
    assert not [one for one in results if isinstance(one, Exception)]
    assert tally(client_id, authorization_id) == (LEFT, AT_ONCE - LEFT, LEFT)
    used = load_states(client_id, (AUTHORIZATION_BALANCE,))[AUTHORIZATION_BALANCE].used[
        authorization_id
    ]
    assert (used.visits, used.units) == (LEFT, 2 * LEFT)


def test_without_the_lock_of_the_record_signatures_are_lost() -> None:
    def lost(_: int) -> bool:
        Payer.objects.all().delete()
        return any(isinstance(one, Exception) for one in signed_at_once()[2])

    with no_row_locks(), before_writing() as meeting:
        shown_within_rounds(lost, meeting)


@contextmanager
def deciding_on(earlier: AuthorizationBalance) -> Iterator[None]:
    """The guard off: every signature decides on what was read before the lock."""
    index = installed.reactors.index(CALCULATE_VISIT)

    def stale(recorded: Any, states: States, facts: Any, ctx: Any) -> Any:
        return react_to_note(recorded, States({AUTHORIZATION_BALANCE.name: earlier}), facts, ctx)

    installed.reactors[index] = replace(CALCULATE_VISIT, react=stale)
    try:
        yield
    finally:
        installed.reactors[index] = CALCULATE_VISIT


def test_drawn_on_what_was_read_before_the_lock_the_authorization_is_overdrawn() -> None:
    client_id, authorization_id = client_with(payer().pk, visits=LEFT, units=100)
    earlier = load_states(client_id, (AUTHORIZATION_BALANCE,))[AUTHORIZATION_BALANCE]
    notes = [note_on(number) for number in range(AT_ONCE)]
    with deciding_on(earlier):
        together(lambda n: sign(client_id, notes[n]), AT_ONCE)
    assert tally(client_id, authorization_id)[0] > LEFT


def test_a_day_drawn_by_two_signatures_at_once_is_one_visit() -> None:
    client_id, authorization_id = client_with(payer().pk, visits=1, units=100)
    notes = [note_on(0) for _ in range(6)]
    results = together(lambda n: sign(client_id, notes[n]), 6)
    assert not [one for one in results if isinstance(one, Exception)]
    (visit,) = Visit.objects.filter(client_id=client_id)
    assert (visit.local_date, visit.used_units_total, len(visit.sessions)) == (
        date(2026, 3, 2),
        12,
        6,
    )
    assert Authorization.objects.get(pk=authorization_id).visits_used == 1


def paid_twice() -> bool:
    """Two clients' notes of one practitioner and hour, signed at once: whether both stand paid."""
    lakeshore = Payer.objects.first() or payer()
    person = Practitioner.objects.create(name="Pat", credential="physical_therapist")
    clients = [client_with(lakeshore.pk)[0] for _ in range(2)]
    first = structs.replace(note_on(0), practitioner_id=person.pk)
    notes = [first, structs.replace(note_on(0), practitioner_id=person.pk)]
    notes[1] = structs.replace(notes[1], started_at=first.started_at, ended_at=first.ended_at)
    results = together(lambda n: sign(clients[n], notes[n]), 2)
    assert not [one for one in results if isinstance(one, Exception)]
    assert run_due_jobs().failed == 0
    visits = Visit.objects.filter(client_id__in=clients)
    return all(one.covered == "covered" for one in visits)


def test_two_clients_signed_at_once_for_one_hour_are_not_both_paid() -> None:
    """Ruling 57: one minute of a practitioner counts once, whoever was there."""
    assert not any(paid_twice() for _ in range(5))


def test_the_second_looks_at_the_hour_when_the_first_is_written() -> None:
    with before_writing(seconds=1.0) as meeting:
        assert not paid_twice()
    assert not meeting.met


def test_without_the_lock_of_the_practitioner_both_are_paid(monkeypatch: Any) -> None:
    monkeypatch.setattr(overlaps, "_lock", lambda practitioner_id: None)
    with before_writing() as meeting:
        shown_within_rounds(lambda _: paid_twice(), meeting)


def covered_at_once(monkeypatch: Any, *, on_what_was_read_before: bool) -> tuple[list[Any], int]:
    """Six acts that cover the same two clients' visits; what became of each, and visits used."""
    clients, lakeshore = [], payer()
    for _ in range(2):
        client_id, _authorization_id = client_with(lakeshore.pk, visits=1, units=100)
        sign(client_id, note_on(0))
        (visit,) = Visit.objects.filter(client_id=client_id)
        with unit_of_work(actor=ACTOR, request_id="back") as uow:
            coverage.visit_give_back(uow, visit_id=visit.pk, command={"reason": "x"})
        clients.append(visit.pk)
    selection = CoverSelection(visit_ids=frozenset(clients))
    before = preview_coverage(selection)
    if on_what_was_read_before:
        monkeypatch.setattr(coverage, "find_coverage", lambda *_: before)
    command = {"selection": selection, "version": before.version, "reason": "at once"}

    def act(_number: int) -> None:
        with unit_of_work(actor=ACTOR, request_id="cover") as uow:
            coverage.visits_cover(uow, command=command)

    results = together(act, 6)
    return results, sum(Authorization.objects.values_list("visits_used", flat=True))


def test_of_acts_at_once_that_cover_the_same_visits_one_does(monkeypatch: Any) -> None:
    results, used = covered_at_once(monkeypatch, on_what_was_read_before=False)
    refused = [one for one in results if isinstance(one, Exception)]
    assert {type(one) for one in refused} == {Rejected}
    assert (len(refused), used) == (5, 2)


def test_covered_on_what_was_read_before_the_lock_visits_are_used_twice(monkeypatch: Any) -> None:
    assert covered_at_once(monkeypatch, on_what_was_read_before=True)[1] > 2
