"""Ruling 3: after an erasure no text of the client is readable anywhere but what is listed here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.apps import apps
from django.db import connection, models, transaction

from clients.identity.models import ClientFacility
from clients.reminders.models import ContactNotice, Reminder
from clients.reminders.sealing import pack
from practice.accesslog.models import AccessEntry
from practice.audit import rebuild
from practice.clock import clock
from practice.core.appspec import installed
from practice.core.events import RecordedEvent
from practice.core.terms import Role
from practice.eventstore import store
from practice.eventstore.models import StoredEvent
from practice.jobs.models import ScheduledJob
from practice.jobs.nightly import nightly
from practice.jobs.services import run_due_jobs
from practice.keys.keystore import KeyDestroyedError, keystore
from practice.keys.models import DataKey
from practice.keys.router import keys_alias
from practice.work.models import IdempotencyRecord, ReadTable
from sessions.notes.models import NoteDraft
from tests.builders import Built, build_practice, ok
from tests.erasure import thief
from tests.erasure.marks import mark, marked_events, marked_row, places
from tests.sessions.people import registered

pytestmark = pytest.mark.django_db(transaction=True)

RETAINED = {
    "AuthorizationTerms.number",
    "AuthorizedLine.code",
    "BillableUnits.units",
    "RecordDisclosed.purpose",
    "RecordDisclosed.recipient",
    "RecordDisclosed.sha256",
    "RecordDisclosed.what",
    "VisitCalculated.counts_as",
    "VisitCalculated.expected_units",
    "VisitCalculated.used_units",
}
"""Ruling 3: authorization number, payer, service codes, units, disclosures; nothing else.

Dates, minutes and ids are kept too and are no texts; of units the service codes are the text.
The digest of what was disclosed belongs to the disclosure and opens nothing."""

OF_NO_CLIENT = {
    "clients.UnknownReply",  # Emptied once its client is known: their notice has the words.
    "contenttypes.ContentType",
    "auth.Permission",
    "auth.Group",
    "practice.JurisdictionLimit",
    "practice.ConsentAge",
    "practice.Facility",
    "practice.OpeningHours",
    "practice.FacilityRule",
    "practice.Room",
    "client_sessions.CalendarFeed",
    "client_sessions.SessionKind",
    "client_sessions.HeldSlot",
    "client_sessions.TravelTime",
    "client_sessions.ExerciseClass",
    "practice.Closure",
    "practice.HolidayOpening",
    "practice.Practitioner",
    "practice.Absence",
    "practice.ExtraHours",
    "practice.WorkingHours",
    "practice.Licence",
    "practice.Competence",
    "practice.Supervision",
    "practice.Staff",
    "practice.AccessToken",
    "practice.Practice",
    "practice.PracticeSetting",
    "practice.SettingChange",
    "practice.PracticeStamp",
    "practice.ReadTableBuild",
    "practice.RowSeal",
    "practice.BatchSeal",
    "practice.SignInTry",
    "jobs.TickMark",
    "client_sessions.Stretch",
    "billing.ServiceCode",
    "billing.Payer",
    "billing.ServiceMap",
    "billing.PastPayerRules",
}
"""The practice's own: no text of a client is ever written there."""
OF_THE_LOG = {
    "eventstore.StreamHead",
    "eventstore.StoredEvent",
    "eventstore.PositionCounter",
    "keys.DataKey",
}
FILLED_BY_USE = {
    "practice.IdempotencyRecord",
    "practice.AccessEntry",
    "jobs.ScheduledJob",
    "jobs.LongTask",
}
"""Filled by what is done, no row is made here: the order's stored answer, the search, jobs, and
what a comparison found."""

OWN_OF_ERASURE = {"record.closed", "record.key_destroyed"}
"""Sealed with the practice's key on purpose: they hold what is retained, and ids."""


SEALED = {"NoteDraft.sealed", "NoteDraft.unsent"}
IN_MESSAGES = {
    "Reminder.told",
    "Reminder.address",
    "ContactNotice.address",
    "ContactNotice.words",
    "ContactNotice.lifted_because",
}
NAME, ORDERED = "the client's name", "the reason of the order"

SAID_AGAIN = {"authorization.recorded"}
"""After the event that voids it, which is among the marked ones: what is void is not retained."""


def read_tables() -> list[type[models.Model]]:
    return [one for one in apps.get_models() if issubclass(one, ReadTable)]


def working_documents() -> list[type[models.Model]]:
    return [apps.get_model(label) for label in installed.working_documents]


def test_every_table_is_a_clients_and_marked_here_or_named_as_none() -> None:
    marked = {one._meta.label for one in (*read_tables(), *working_documents())}
    named = marked | OF_NO_CLIENT | OF_THE_LOG | FILLED_BY_USE
    found = {one._meta.label for one in apps.get_models()}
    assert found - named == set(), "say where a client's text in it is marked, or that none is"
    assert named - found == set(), "named here and there is no such table"


@dataclass
class Marked:
    """A practice and the client in whose record everything is marked."""

    built: Built
    client_id: UUID
    in_log: set[str]
    in_tables: set[str]

    @property
    def path(self) -> str:
        return f"clients/{self.client_id}/erasure"


@pytest.fixture
def marked() -> Marked:
    built = build_practice()
    client_id = registered(built, name=mark(NAME))
    found = ok(built.api(Role.OWNER).post("clients/search", {"name": mark(NAME)}))["results"]
    assert [one["id"] for one in found] == [str(client_id)]
    in_log = logged(built, client_id)
    reason = {"reason": mark(ORDERED), "before_retention": True}
    ok(built.api(Role.OWNER).post(f"clients/{client_id}/erasure", reason, key="ordered"))
    return Marked(built, client_id, in_log, tabled(client_id))


def logged(built: Built, client_id: UUID) -> set[str]:
    """Append every event with its markers, as it would be stored; the places marked."""
    known = [(name, one) for name, one in marked_events() if name not in OWN_OF_ERASURE]
    known += [one for one in known if one[0] in SAID_AGAIN]
    with transaction.atomic():
        head = store.lock_heads([client_id])[client_id]
        rows = [
            RecordedEvent(
                position=0,
                stream=client_id,
                version=head.version + number,
                type=name,
                occurred_at=clock.now(),
                recorded_at=clock.now(),
                actor=built.staff[Role.OWNER].pk,
                request_id="marked",
                data=one,
            )
            for number, (name, one) in enumerate(known, start=1)
        ]
        store.append([(head, rows)])
    return places(str([one for _, one in known]))


def _message(client_id: UUID) -> dict[str, Any]:
    return {"client_id": client_id, "kind": "stopped", "channel": "mail"}


def tabled(client_id: UUID) -> set[str]:
    """A row with markers in every table of a client, a sealed draft too; the places marked."""
    for model in read_tables():
        model._default_manager.bulk_create([marked_row(model, client_id)])
    sealed = {
        place.split(".")[1]: keystore.encrypt(client_id, mark(place).encode()) for place in SEALED
    }
    NoteDraft.objects.create(
        id=uuid4(),
        client_id=client_id,
        session_id=uuid4(),
        practitioner_id=uuid4(),
        updated_at=clock.now(),
        **sealed,
    )
    told = {"told": mark("Reminder.told"), "address": mark("Reminder.address")}
    said = {name: mark(f"ContactNotice.{name}") for name in ("address", "words", "lifted_because")}
    Reminder.objects.create(
        **_message(client_id),
        about=uuid4(),
        day=clock.now(),
        status="sent",
        made_at=clock.now(),
        sealed=pack(client_id, **told),
    )
    ContactNotice.objects.create(
        **_message(client_id),
        key="one",
        on_day=clock.now(),
        at=clock.now(),
        sealed=pack(client_id, **said),
    )
    known = {NoteDraft, Reminder, ContactNotice}
    assert known == set(working_documents()), "mark the new working document here"
    rows = [marked_row(one, client_id) for one in read_tables()]
    return places(str([vars(one) for one in rows])) | SEALED | IN_MESSAGES


def events_of(client_id: UUID) -> list[RecordedEvent]:
    return list(store.load(client_id, types=None, start=1))


def seen(*, keys: list[bytes] | None = None, cells: list[thief.Cell] | None = None) -> set[str]:
    """The places whose markers can be read, by default with all that is there now."""
    keys = thief.data_keys() if keys is None else keys
    found: set[str] = set()
    for _, text in thief.readable(thief.cells() if cells is None else cells, keys):
        found |= places(text)
    return found


def agree(marked: Marked) -> None:
    ok(marked.built.api(Role.PRACTITIONER).post(f"{marked.path}/approval"))


def erase(marked: Marked) -> None:
    agree(marked)
    assert run_due_jobs().failed == 0


def test_before_the_erasure_every_marker_can_be_read(marked: Marked) -> None:
    """The control: without it nothing below would prove anything."""
    wanted = marked.in_log | marked.in_tables | {ORDERED, NAME}
    assert wanted - seen() == set()
    assert len(marked.in_log) > 100
    assert {one for one in marked.in_log if "Details." in one}, "structs within events too"
    read = thief.readable(thief.cells(), thief.data_keys())
    tables = {cell.table for cell, text in read if places(text)}
    wanted_tables = {one._meta.db_table for one in (*read_tables(), *working_documents())}
    wanted_tables -= {ClientFacility._meta.db_table}  # two ids and no text
    assert wanted_tables | {IdempotencyRecord._meta.db_table, StoredEvent._meta.db_table} <= tables


def test_with_the_agreement_all_but_the_log_is_emptied(marked: Marked) -> None:
    """The key still lives until its job has run: read tables, drafts and answers go before."""
    agree(marked)
    of_log = {apps.get_model(label)._meta.db_table for label in OF_THE_LOG}
    assert seen(cells=[one for one in thief.cells() if one.table not in of_log]) - RETAINED == {
        NAME  # What was searched for, if it is kept at all, is sealed with the client's key.
    } & seen(cells=[one for one in thief.cells() if one.table == AccessEntry._meta.db_table])
    assert not NoteDraft.objects.filter(client_id=marked.client_id).exists()
    key = DataKey.objects.using(keys_alias()).get(subject=marked.client_id).pk
    answers = IdempotencyRecord.objects.filter(key_id=key)
    assert [one.response for one in answers] == [None]


def test_after_the_erasure_only_what_is_retained_can_be_read(marked: Marked) -> None:
    erase(marked)
    assert seen() == RETAINED


def test_nothing_is_left_in_the_keys_and_no_key_of_the_client_in_memory(marked: Marked) -> None:
    key = keystore.of(marked.client_id)
    erase(marked)
    row = DataKey.objects.using(keys_alias()).get(subject=marked.client_id)
    assert (bytes(row.wrapped), row.destroyed_at is None) == (b"", False)
    with pytest.raises(KeyDestroyedError):
        keystore.of(marked.client_id)
    with pytest.raises(KeyDestroyedError):
        keystore.by_id(key.id)


def test_a_backup_from_before_cannot_be_opened_with_what_is_there_after(marked: Marked) -> None:
    """Ruling 2: a backup holds everything except read tables; the keys are not kept with it."""
    left_out = {one._meta.db_table for one in (*read_tables(), DataKey)}
    backup = [one for one in thief.cells() if one.table not in left_out]
    assert marked.in_log <= seen(cells=backup)  # the keys of that day open it
    erase(marked)
    assert seen(cells=backup) == set()


@pytest.mark.sqlite
def test_the_files_of_the_database_keep_no_deleted_text_and_no_destroyed_key(
    marked: Marked,
) -> None:
    row = DataKey.objects.using(keys_alias()).get(subject=marked.client_id)
    wrapped = bytes(row.wrapped).decode("latin-1")
    assert wrapped in thief.files()
    assert marked.in_tables - SEALED - IN_MESSAGES <= places(thief.files())
    erase(marked)
    assert wrapped not in thief.files()
    assert places(thief.files()) == RETAINED


@pytest.mark.sqlite
def test_the_night_empties_the_log_of_writes_that_a_reader_held(marked: Marked) -> None:
    written = Path(f"{connection.settings_dict['NAME']}-wal")
    assert written.stat().st_size > 0
    nightly(ScheduledJob())
    assert written.stat().st_size == 0


def test_no_job_bears_a_text_of_an_event(marked: Marked) -> None:
    """Rows of due work stay after an erasure: they say a kind, ids and times."""
    planned = 0
    for recorded in events_of(marked.client_id):
        for plan in installed.job_plans:
            for job in plan.answer(recorded) or ():
                planned += 1
                assert places(str(job)) == set(), recorded.type
    assert planned > 3


def test_what_a_comparison_found_bears_no_text_of_a_row() -> None:
    """It is kept as the result of a task, which no erasure empties."""
    tabled(registered(build_practice()))
    found = rebuild.compare().differences
    assert len(found) >= len(read_tables())
    assert places(str(found)) == set()


def test_due_work_of_the_client_is_withdrawn(marked: Marked) -> None:
    later = clock.now() + timedelta(days=1)
    kinds = ("recheck", "consent_reminder", "made_up")
    for kind in kinds:
        ScheduledJob.objects.create(
            kind=kind, key=kind, subject=marked.client_id, about=uuid4(), due_at=later
        )
    erase(marked)
    rows = ScheduledJob.objects.filter(subject=marked.client_id).exclude(kind="destroy_key")
    assert {one.status for one in rows} == {ScheduledJob.Status.WITHDRAWN}
    assert rows.count() >= len(kinds)
