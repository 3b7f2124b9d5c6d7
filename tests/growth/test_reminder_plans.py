"""Reminders and what came back from clients: a page is read from an index, however many of other
clients stand beside it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from typing import Final
from unittest.mock import patch
from uuid import UUID

import pytest
from django.db import connection

from clients.identity.models import Client, ClientFacility
from clients.reminders.models import ContactNotice, Reminder
from clients.reminders.services.notices import keep_notice
from practice.clock import clock
from practice.core.terms import Role
from tests.api.prepared import NOW, Prepared
from tests.bench.statements import listening
from tests.builders import build_practice, ok
from tests.growth.plans import MOST, faults_of
from tests.growth.rows import BUSY_CLIENTS, SIZE, copy, multiply
from tests.growth.test_list_plans import PLACE, Asked
from tests.harness.each_operation import taken_back
from tests.sessions.people import reminder_of

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]
DESK, HANDS = Role.FRONT_DESK, Role.PRACTITIONER
WORDS: Final = {"told": "", "address": "", "words": ""}


def _grow(p: Prepared) -> None:
    for role in (Role.OWNER, DESK, HANDS):
        p.api(role)  # Signed in for all tests, not in the transaction of one.
    client = UUID(p.id("client"))
    mine = p.built.staff[HANDS].practitioner_id
    row = reminder_of(client, UUID(p.id("session")), "sent")
    Reminder.objects.filter(pk=row.pk).update(practitioner_id=mine)
    twenty = "CASE WHEN random() < 0.05 THEN copied.facility_id ELSE gen_random_uuid() END"
    multiply(ClientFacility, client_id="md5('client_id' || n)::uuid", facility_id=twenty)
    multiply(
        Reminder,
        about="md5('about' || n)::uuid",
        status="CASE WHEN mod(n, 50) = 0 THEN 'listed' ELSE 'sent' END",
        addressee="CASE WHEN mod(n, 50) = 1 THEN 'owner' ELSE 'client' END",
        channel="CASE WHEN mod(n, 50) = 0 THEN 'list' ELSE 'mail' END",
    )
    address = "a@example.org"  # On every record: one that was replaced needs no call.
    same = {"id": "md5('client_id' || (n - 1))::uuid", "email": f"'{address}'"}
    copy(Client, BUSY_CLIENTS, {}, same)
    keep_notice(
        key="k", client_id=client, kind="refused", channel="mail", address=address, words=""
    )
    few = "CASE mod(n, 10) WHEN 0 THEN 'stopped' WHEN 1 THEN 'bounced' ELSE 'replied' END"
    lifted = "CASE WHEN mod(n, 10) > 1 THEN copied.at END"
    # Nine in ten addresses that failed were replaced by their clients, and stand in front.
    gone = "mod(n, 100) <> 1"
    multiply(
        ContactNotice,
        key="'copy ' || n",
        kind=few,
        lifted_at=lifted,
        replaced=gone,
        client_id=f"CASE WHEN {gone} THEN gen_random_uuid()"
        " ELSE md5('client_id' || mod(n, 1000))::uuid END",
        on_day=f"copied.on_day + CASE WHEN {gone} THEN day - 2000 ELSE day END",
    )


@pytest.fixture(scope="module")
def grown(django_db_setup: None, django_db_blocker: pytest.FixtureRequest) -> Iterator[Prepared]:
    """The practice with both tables grown; taken back at the end. The copies have no keys."""
    with django_db_blocker.unblock(), ExitStack() as stack:  # type: ignore[attr-defined]
        stack.enter_context(taken_back())
        stack.enter_context(clock.at(NOW))
        stack.enter_context(patch("clients.reminders.models.unpack", lambda *_: WORDS))
        p = Prepared(stack, build_practice())
        _grow(p)
        yield p


ASKED: Final = (
    Asked("reminders"),
    Asked("reminders", {}, DESK, PLACE),
    Asked("reminders", {}, HANDS),
    Asked("reminders", {"status": "listed"}),
    Asked("reminders", {"addressee": "owner"}),
    Asked("reminders", {"channel": "list"}),
    Asked("reminders", {"client_id": "client"}, DESK),
    Asked("clients/{client}/contact-notices", {}, DESK),
    Asked("call-list", {"reason": "reminder_to_tell"}),
    Asked("call-list", {"reason": "address_failed"}),
    Asked("call-list", {"reason": "client_answered"}),
)
NEEDED: Final = {
    "reminder_by_time": Asked("reminders"),
    "reminder_by_status": Asked("reminders", {"status": "listed"}),
    "reminder_by_addressee": Asked("reminders", {"addressee": "owner"}),
    "reminder_by_channel": Asked("reminders", {"channel": "list"}),
    "reminder_to_tell": Asked("call-list", {"reason": "reminder_to_tell"}),
    "notice_failed": Asked("call-list", {"reason": "address_failed"}),
    "notice_answered": Asked("call-list", {"reason": "client_answered"}),
}


def _faults(p: Prepared, asked: Asked) -> list[str]:
    path = asked.path.replace("{client}", p.made["client"])
    query = {name: p.made.get(value, value) for name, value in asked.query.items()}
    with listening() as heard:
        ok(p.api(asked.role).get(path, query | {"page_size": "20"}))
    return faults_of(heard, asked.most)


@pytest.mark.parametrize("asked", ASKED, ids=str)
def test_a_page_comes_from_an_index(grown: Prepared, asked: Asked) -> None:
    assert Reminder.objects.count() > SIZE
    assert MOST < SIZE // 50, "the rare ones are more than may be touched"
    assert _faults(grown, asked) == []


@pytest.mark.parametrize("index", NEEDED)
def test_without_its_index_it_reads_too_much(grown: Prepared, index: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"DROP INDEX {index}")  # It comes back with the end of the test.
    assert _faults(grown, NEEDED[index]) != []
