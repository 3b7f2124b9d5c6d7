"""Each check by itself names its kind of change; ``tests/harness`` walks all columns."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from practice.audit.key_faults import KeyUse, key_faults
from practice.audit.rebuild import compare
from practice.audit.side_checks import answer_faults
from practice.clock import clock
from practice.core.terms import Role
from practice.jobs.models import ScheduledJob
from practice.keys.keystore import PRACTICE_SUBJECT, keystore
from practice.keys.models import DataKey
from practice.people_and_places.models.practitioners import Licence
from practice.people_and_places.models.staff import AccessToken, Staff
from practice.people_and_places.token_seals import token_faults
from practice.policy.models import RowSeal
from practice.policy.row_seals import row_faults, seal_rows
from practice.work.models import IdempotencyRecord
from tests.builders import Built, ok, refused, seal_practice
from tests.sessions.booking.http import body, local
from tests.sessions.people import open_client
from tests.sessions.stretches.stories import discharged

pytestmark = pytest.mark.django_db


@pytest.fixture
def sealed(built: Built) -> Built:
    seal_practice()
    assert list(row_faults()) == []
    return built


def test_a_changed_row_of_the_practice_is_named(sealed: Built) -> None:
    licence = Licence.objects.order_by("pk")[0]
    Licence.objects.filter(pk=licence.pk).update(expires_on="2099-01-01")
    (fault,) = row_faults()
    assert f"practice.Licence {licence.pk}" in fault


def test_a_password_put_in_is_named(sealed: Built) -> None:
    Staff.objects.filter(role=Role.OWNER).update(password="md5$x$y")
    assert len(list(row_faults())) == 1


def test_a_row_put_in_and_a_row_taken_out_are_named(sealed: Built) -> None:
    row = Licence.objects.order_by("pk")[0]
    gone = row.pk
    Licence.objects.filter(pk=gone).delete()
    row.pk = uuid4()
    row.save(force_insert=True)
    faults = list(row_faults())
    assert any("did not write" in one and str(row.pk) in one for one in faults)
    assert any("is gone" in one and str(gone) in one for one in faults)


def test_a_row_put_back_with_its_seal_of_then_differs_from_its_history(sealed: Built) -> None:
    desk = sealed.staff[Role.FRONT_DESK]
    ok(sealed.api(Role.OWNER).patch(f"staff/{desk.pk}", {"name": "Another"}, match=1))
    assert list(row_faults()) == []
    Staff.objects.filter(pk=desk.pk).update(name="Desk", revision=1)
    seal_rows(Staff.objects.filter(pk=desk.pk))
    (fault,) = row_faults()
    assert "history" in fault


def test_a_deleted_row_that_the_history_still_holds_is_named(sealed: Built) -> None:
    desk = sealed.staff[Role.BILLING]
    ok(sealed.api(Role.OWNER).patch(f"staff/{desk.pk}", {"name": "Another"}, match=1))
    AccessToken.objects.filter(staff=desk).delete()
    Staff.objects.filter(pk=desk.pk).delete()
    RowSeal.objects.filter(row_id=str(desk.pk)).delete()
    (fault,) = row_faults()
    assert "by its history" in fault


def test_a_token_that_the_program_did_not_issue_opens_nothing_and_is_named(built: Built) -> None:
    api = built.api(Role.FRONT_DESK)
    ok(api.get("me"))
    AccessToken.objects.update(staff=built.staff[Role.OWNER])
    refused(api.get("me"), 401, "not_signed_in")
    assert len(list(token_faults())) == 1


def test_a_kept_answer_moved_to_another_key_is_named(built: Built) -> None:
    desk, client = built.api(Role.FRONT_DESK), open_client(built)
    for number, key in enumerate(("one", "two")):
        ok(desk.post("sessions", body(built, client, local(3 + number)), key=key), 201)
    assert list(answer_faults({})) == []
    first = IdempotencyRecord.objects.get(key="one")
    IdempotencyRecord.objects.filter(key="two").update(response=first.response)
    assert len(list(answer_faults({}))) == 1


def uses(*clients: UUID) -> list[KeyUse]:
    return [
        KeyUse(one, (DataKey.objects.get(subject=one).pk,), starts_at_version=1) for one in clients
    ]


def test_lost_swapped_and_destroyed_keys_are_named(built: Built) -> None:
    one, other = open_client(built), open_client(built)
    used = uses(one, other)
    assert list(key_faults(used)) == []
    DataKey.objects.filter(subject=one).update(subject=uuid4())
    assert any("stands under" in text for text in key_faults(used))
    assert any("not as it was made" in text for text in key_faults([]))
    DataKey.objects.filter(pk=used[0].keys[0]).delete()
    assert any("is lost" in text for text in key_faults(used))
    keystore.destroy(other)
    assert any("the record stands" in text for text in key_faults(used))


def test_a_living_key_of_an_erased_record_and_a_stream_without_its_key_are_named(
    built: Built,
) -> None:
    one = open_client(built)
    own = DataKey.objects.get(subject=PRACTICE_SUBJECT).pk
    erased = KeyUse(one, (DataKey.objects.get(subject=one).pk, own), starts_at_version=3)
    assert any("lives" in text for text in key_faults([erased]))
    dead = DataKey.objects.get(subject=one)
    DataKey.objects.filter(pk=dead.pk).update(
        subject=uuid4(), destroyed_at=clock.now(), wrapped=b""
    )
    assert any("its stream is gone" in text for text in key_faults([]))
    DataKey.objects.filter(pk=dead.pk).update(wrapped=b"x")
    assert any("there again" in text for text in key_faults([]))


@pytest.fixture
def recheck(built: Built) -> ScheduledJob:
    discharged(built, open_client(built))
    assert compare().differences == []
    return ScheduledJob.objects.filter(kind="recheck", status="waiting").order_by("-due_at")[0]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"status": "withdrawn"}, "not by the log"),
        ({"status": "done"}, "before it was due"),
        ({"about": uuid4()}, "something else"),
        ({"due_at": clock.now() + timedelta(days=900)}, "another time"),
    ],
)
def test_a_changed_job_is_named(recheck: ScheduledJob, change: dict[str, Any], said: str) -> None:
    ScheduledJob.objects.filter(pk=recheck.pk).update(**change)
    (fault,) = compare().differences
    assert said in fault


def test_a_job_taken_out_and_one_put_in_are_named(recheck: ScheduledJob) -> None:
    ScheduledJob.objects.filter(pk=recheck.pk).delete()
    assert ["it is gone" in one for one in compare().differences] == [True]
    recheck.pk, recheck.key = None, f"{recheck.key}:again"
    recheck.save(force_insert=True)
    assert any("does not plan it" in one for one in compare().differences)


def test_a_job_that_has_been_due_may_be_put_off_and_not_for_ever(recheck: ScheduledJob) -> None:
    with clock.at(recheck.due_at + timedelta(hours=1)):
        rows = ScheduledJob.objects.filter(pk=recheck.pk)
        rows.update(due_at=clock.now() + timedelta(days=13))
        assert compare().differences == []
        rows.update(due_at=clock.now() + timedelta(days=15))
        assert ["put off" in one for one in compare().differences] == [True]
