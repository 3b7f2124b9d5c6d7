"""What belongs together: events to those before, keys to requests, rows to claims."""

from __future__ import annotations

from datetime import timedelta
from uuid import UUID

import pytest

from practice.clock import clock
from practice.eventstore.envelope import ChainedRow, Envelope, associated_data, mac_of
from practice.jobs.claims import LEASE, LeaseLost, claim_jobs, finish
from practice.jobs.models import ScheduledJob
from practice.work.idempotency import IdempotencyClaim
from tests.dsl import DESK, NOW
from tests.eventstore.toy import client
from tests.eventstore.toy_jobs import install_toy_jobs, plan

ROW = Envelope(
    position=1,
    stream=UUID(int=1),
    version=1,
    type="toy.put",
    type_version=1,
    occurred_at=NOW,
    recorded_at=NOW,
    actor=DESK.id,
    request_id="test",
    key_id=UUID(int=2),
    ciphertext=b"sealed",
    mac_key_id="key",
    mac=b"",
)


def test_an_event_is_chained_to_the_one_before_it() -> None:
    assert mac_of(ChainedRow.of(ROW), b"one", b"key") == mac_of(ChainedRow.of(ROW), b"one", b"key")
    assert mac_of(ChainedRow.of(ROW), b"one", b"key") != mac_of(ChainedRow.of(ROW), b"two", b"key")


def test_a_payload_belongs_to_one_client_version_and_kind() -> None:
    places = {
        associated_data(b"one", 1, "toy.put"),
        associated_data(b"two", 1, "toy.put"),
        associated_data(b"one", 2, "toy.put"),
        associated_data(b"one", 1, "toy.taken"),
    }
    assert len(places) == 4


def test_an_idempotency_key_stands_for_one_method_address_and_body() -> None:
    requests = [
        ("POST", "/a", b"1"),
        ("PUT", "/a", b"1"),
        ("POST", "/b", b"1"),
        ("POST", "/a", b"2"),
        ("POST", "/a1", b""),
    ]
    made = {
        IdempotencyClaim(caller=DESK.id, key="k", method=method, path=path, body=body).fingerprint()
        for method, path, body in requests
    }
    assert len(made) == len(requests)


@pytest.mark.django_db(transaction=True)
def test_a_row_that_another_worker_claimed_since_is_not_finished(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    install_toy_jobs(monkeypatch)
    plan(client())
    (first,) = claim_jobs(clock.now())
    with clock.at(clock.now() + LEASE + timedelta(seconds=1)):
        (second,) = claim_jobs(clock.now())
    with pytest.raises(LeaseLost):
        finish(first)
    assert ScheduledJob.objects.get().status == ScheduledJob.Status.WAITING
    finish(second)
    assert ScheduledJob.objects.get().status == ScheduledJob.Status.DONE
