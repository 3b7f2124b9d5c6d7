"""Billing in the running program: drawn in the signature's own transaction, rebuilt alike."""

from __future__ import annotations

from datetime import timedelta
from uuid import UUID, uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from msgspec import structs

from billing.authorizations.models import Authorization, Visit
from billing.visits.selectors.overlaps import sessions_elsewhere
from practice.audit.rebuild import compare, rebuild
from practice.core.reasons import Rejected
from practice.core.terms import SessionPart
from practice.jobs.services import run_due_jobs
from practice.work.unit_of_work import unit_of_work
from tests.billing.practice_rows import ACTOR, client_with, note_on, payer, sign

pytestmark = pytest.mark.django_db


def test_a_signature_draws_in_the_same_transaction() -> None:
    client_id, authorization_id = client_with(payer().pk)
    outcome = sign(client_id, note_on(0, {SessionPart.STRETCHING: 33, SessionPart.CARDIO: 7}))
    assert [one.type for one in outcome.events] == ["note.signed", "visit.calculated"]
    visit = Visit.objects.get(client_id=client_id)
    assert visit.used_units == {"STR15": 2, "CAR15": 1}
    row = Authorization.objects.get(pk=authorization_id)
    assert (row.visits_used, row.visits_left, row.units_used, row.units_left) == (1, 9, 3, 17)


def test_a_signature_that_fails_later_draws_nothing() -> None:
    client_id, authorization_id = client_with(payer().pk)

    def fails_later() -> None:
        with unit_of_work(actor=ACTOR, request_id="sign") as uow:
            uow.execute(client_id, (), lambda states, ctx: [note_on(0)])
            raise Rejected("later", "Something later in the same unit refuses.")

    with pytest.raises(Rejected):
        fails_later()
    assert not Visit.objects.filter(client_id=client_id).exists()
    assert Authorization.objects.get(pk=authorization_id).visits_used == 0


def test_the_payers_settings_as_they_stand_at_the_signature_decide() -> None:
    lakeshore = payer()
    client_id, _ = client_with(lakeshore.pk)
    sign(client_id, note_on(0))
    lakeshore.paid_credentials = []
    lakeshore.revision += 1
    lakeshore.save()
    sign(client_id, note_on(1))
    shown = Visit.objects.filter(client_id=client_id).order_by("local_date")
    assert [one.covered for one in shown] == ["covered", "not_covered"]
    assert shown[1].uncovered_reasons == ["credential_not_paid"]


def test_rebuilt_tables_are_identical() -> None:
    client_id, _ = client_with(payer().pk, visits=2)
    for number in (0, 0, 1, 2, 3):
        sign(client_id, note_on(number))
    before = [list(table.objects.order_by("pk").values()) for table in (Authorization, Visit)]
    assert compare().differences == []
    rebuild()
    after = [list(table.objects.order_by("pk").values()) for table in (Authorization, Visit)]
    assert after == before


def test_statements_of_a_signature_do_not_grow_with_what_was_drawn_before() -> None:
    client_id, _ = client_with(payer().pk, visits=None, units=500)
    counts = []
    for number in range(6):
        with CaptureQueriesContext(connection) as caught:
            sign(client_id, note_on(number))
        counts.append(len(caught))
    assert counts[1:] == counts[1:2] * 5


def two_at_once(minutes: int) -> tuple[UUID, UUID]:
    """Two clients of one practitioner; the second starts so many minutes after the first."""
    lakeshore = payer()
    first, _ = client_with(lakeshore.pk)
    second, _ = client_with(lakeshore.pk)
    note = note_on(0)
    sign(first, note)
    started = note.started_at + timedelta(minutes=minutes)
    sign(
        second,
        structs.replace(
            note_on(0),
            practitioner_id=note.practitioner_id,
            started_at=started,
            ended_at=started + timedelta(minutes=30),
        ),
    )
    return first, second


def test_only_the_minutes_that_one_practitioner_shared_between_two_clients_wait() -> None:
    """Ruling 57, for both clients: the first one's visit is told by due work."""
    first, second = two_at_once(15)
    assert Visit.objects.get(client_id=second).timed_minutes == 15
    assert Visit.objects.get(client_id=first).timed_minutes == 30
    assert run_due_jobs().failed == 0
    for client_id in (first, second):
        visit = Visit.objects.get(client_id=client_id)
        assert (visit.covered, visit.uncovered_reasons) == ("partly", ["overlapping_time"])
        assert (visit.used_units, visit.timed_minutes) == ({"STR15": 1}, 15)
    assert run_due_jobs().done == 0
    assert compare().differences == []


@pytest.mark.parametrize("minutes", [-30, 30])
def test_one_session_right_after_the_other_is_no_overlap(minutes: int) -> None:
    first, second = two_at_once(minutes)
    assert run_due_jobs().done == 0
    for client_id in (first, second):
        assert Visit.objects.get(client_id=client_id).covered == "covered"


def test_a_session_that_ended_before_is_not_among_those_elsewhere() -> None:
    client_id, _ = client_with(payer().pk)
    note = note_on(0)
    sign(client_id, note)
    ends = note.started_at + timedelta(minutes=30)

    def found(minutes: int) -> int:
        begin = ends + timedelta(minutes=minutes)
        elsewhere = sessions_elsewhere(
            uuid4(), note.practitioner_id, begin, begin + timedelta(minutes=30)
        )
        return len(elsewhere)

    assert [found(minutes) for minutes in (-61, -60, -59, -1, 0)] == [0, 0, 1, 1, 0]
