"""One unit of work for several clients and places: lock all, decide each, append once."""

from __future__ import annotations

from unittest import mock
from uuid import UUID, uuid4

import pytest

from practice.audit.verification import verify_log
from practice.core.reasons import Rejected
from practice.eventstore import postgresql
from practice.eventstore.models import StoredEvent, StreamHead
from practice.work import loading
from practice.work.unit_of_work import Decision, unit_of_work
from tests.dsl import DESK
from tests.eventstore.toy import SHELF, client, put, run, take

pytestmark = pytest.mark.django_db(transaction=True)


class Drawers:
    """Places that know no rows: what is locked is written down."""

    def __init__(self, *ids: UUID) -> None:
        self.ids = frozenset(ids)
        self.locked = 0

    def lock(self) -> None:
        self.locked += 1


def cups(one: UUID) -> tuple[str, ...]:
    return loading.load_states(one, (SHELF,))[SHELF][0]


def test_each_client_is_decided_and_all_is_appended() -> None:
    clients = [client(), client(), client()]
    with unit_of_work(actor=DESK, request_id="all") as uow:
        outcomes = uow.execute_all(
            [Decision(one, (SHELF,), put(f"cup {n}")) for n, one in enumerate(clients)]
        )
    assert [[e.data.name for e in one.events] for one in outcomes] == [
        ["cup 0"],
        ["cup 1"],
        ["cup 2"],
    ]
    assert [one.version for one in outcomes] == [2, 2, 2]
    assert [cups(one) for one in clients] == [("first", f"cup {n}") for n in range(3)]
    assert {head.version for head in StreamHead.objects.all()} == {2}
    assert all(
        e.position == StoredEvent.objects.get(stream=e.stream, version=2).position
        for one in outcomes
        for e in one.events
    )
    assert verify_log().faults == []


def test_a_later_decision_about_a_client_sees_the_earlier_one() -> None:
    one, other = client(), client()

    def count(states, _ctx):
        return put(f"after {len(states[SHELF][0])}")(states, _ctx)

    with unit_of_work(actor=DESK, request_id="series") as uow:
        made = uow.execute_all(
            [
                Decision(one, (SHELF,), count, if_match=1),
                Decision(other, (SHELF,), count),
                Decision(one, (SHELF,), count, if_match=1),
            ]
        )
    assert cups(one) == ("first", "after 1", "after 2")
    assert cups(other) == ("first", "after 1")
    assert [[e.version for e in part.events] for part in made] == [[2], [2], [3]]
    assert [part.version for part in made] == [3, 2, 3]


def test_one_refusal_leaves_nothing_of_any_and_no_trace_in_the_unit() -> None:
    one, other = client(), client()
    run(other, take("Ada"))
    with unit_of_work(actor=DESK, request_id="half") as uow:
        with pytest.raises(Rejected):
            uow.execute_all(
                [
                    Decision(one, (SHELF,), put("lost")),
                    Decision(other, (SHELF,), take("Ben")),
                ]
            )
        assert uow.states(one, (SHELF,))[SHELF][0] == ("first",)
        assert uow.execute(one, (SHELF,), put("second")).version == 2
    assert cups(one) == ("first", "second")
    assert loading.stream_version(other) == 2


def test_a_stale_version_of_one_client_refuses_all() -> None:
    one, other = client(), client()
    run(other, put("second"))
    with pytest.raises(Rejected) as refusal, unit_of_work(actor=DESK, request_id="old") as uow:
        uow.execute_all(
            [
                Decision(one, (SHELF,), put("x")),
                Decision(other, (SHELF,), put("y"), if_match=1),
            ]
        )
    assert refusal.value.status == 412
    assert loading.stream_version(one) == 1


def test_where_nothing_is_decided_nothing_is_written() -> None:
    one, other = client(), client()
    with unit_of_work(actor=DESK, request_id="none") as uow:
        made = uow.execute_all(
            [
                Decision(one, (SHELF,), lambda _s, _c: []),
                Decision(other, (SHELF,), put("second")),
            ]
        )
        assert uow.execute_all([]) == []
    assert [part.version for part in made] == [1, 2]


def test_positions_of_a_stream_rise_with_its_versions_however_many_come_at_once() -> None:
    one = client()
    with unit_of_work(actor=DESK, request_id="two") as uow:
        uow.execute(one, (SHELF,), lambda s, c: [*put("a")(s, c), *put("b")(s, c)])
        uow.execute(one, (SHELF,), put("c"))
    rows = StoredEvent.objects.filter(stream=one).order_by("version")
    positions = list(rows.values_list("position", flat=True))
    assert positions == sorted(positions)


@pytest.mark.postgresql
def test_all_events_and_heads_are_written_in_one_statement() -> None:
    clients = [client() for _ in range(4)]
    sent: list[str] = []

    def told(sql: str, params: list) -> list:
        sent.append(sql)
        return original(sql, params)

    original = postgresql.run
    with (
        mock.patch.object(postgresql, "run", told),
        unit_of_work(actor=DESK, request_id="one") as uow,
    ):
        uow.execute_all([Decision(one, (SHELF,), put("cup")) for one in clients])
    assert (
        len([sql for sql in sent if "INSERT" in sql or "UPDATE" in sql.replace("FOR UPDATE", "")])
        == 1
    )
    assert len([sql for sql in sent if "FOR UPDATE" in sql]) == 1


def test_clients_that_are_asked_for_out_of_order_are_an_error() -> None:
    first, last = sorted([client(), client()])
    with unit_of_work(actor=DESK, request_id="order") as uow:
        uow.lock(last)
        with pytest.raises(RuntimeError, match="lock them together"):
            uow.lock(first)
    with unit_of_work(actor=DESK, request_id="order") as uow:
        uow.lock(last, first)
        uow.lock(first)


def test_a_client_after_places_is_an_error_and_one_that_is_held_is_none() -> None:
    first, last = sorted([client(), client()])
    drawers = Drawers(uuid4())
    with unit_of_work(actor=DESK, request_id="places") as uow:
        uow.lock(first, places=drawers)
        uow.lock(first)
        with pytest.raises(RuntimeError, match="every client first"):
            uow.execute(last, (SHELF,), put("x"))
    assert drawers.locked == 1


def test_further_places_are_an_error_and_the_same_are_read_again() -> None:
    one, drawer = client(), uuid4()
    with unit_of_work(actor=DESK, request_id="places") as uow:
        uow.lock(one, places=Drawers(drawer, uuid4()))
        again = Drawers(drawer)
        uow.lock(places=again)
        assert again.locked == 1
        with pytest.raises(RuntimeError, match="further places"):
            uow.lock(places=Drawers(drawer, uuid4()))
