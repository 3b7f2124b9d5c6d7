"""A damaged event or a lost key is named by every check and stops none of them (ruling 63)."""

from collections.abc import Callable
from uuid import UUID

import pytest

from clients.identity.models import Client
from practice.audit import rebuild
from practice.core.terms import Role
from practice.eventstore import guards
from practice.eventstore.models import StoredEvent, StreamHead
from practice.keys.keystore import keystore
from practice.keys.models import DataKey
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.people import registered

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def built() -> Built:
    return build_practice()


def damaged_payload(stream: UUID) -> None:
    with guards.without_guards():
        StoredEvent.objects.filter(stream=stream, version=1).update(ciphertext=b"x" * 40)


def lost_key(stream: UUID) -> None:
    DataKey.objects.filter(subject=stream).delete()
    keystore.invalidate()


def newer_type(stream: UUID) -> None:
    with guards.without_guards():
        StoredEvent.objects.filter(stream=stream, version=1).update(type_version=99)


@pytest.mark.parametrize("damage", [damaged_payload, lost_key, newer_type])
def test_damage_is_named_by_comparison_and_rebuild_and_stops_neither(
    built: Built, damage: Callable[[UUID], None]
) -> None:
    hurt, well = registered(built), registered(built, name="Ana")
    Client.objects.update(given_name="Someone else")
    damage(hurt)
    shown = ok(built.api(Role.OWNER).get("log/comparison"))
    assert any(str(hurt) in one for one in shown["faults"])
    assert any("given_name" in one for one in shown["faults"])
    done = rebuild.rebuild()
    assert (done.streams, len(done.differences)) == (1, 1)
    assert str(hurt) in done.differences[0]
    assert Client.objects.get(pk=well).given_name == "Ana"
    assert Client.objects.get(pk=hurt).given_name == "Someone else", "what cannot be read stays"


def test_a_record_that_cannot_be_read_is_a_problem_and_no_500(built: Built) -> None:
    hurt = registered(built)
    damaged_payload(hurt)
    problem = refused(
        built.api(Role.OWNER).get(f"clients/{hurt}/history"), 503, "record_unreadable"
    )
    assert "verification" in problem["detail"]


@pytest.mark.parametrize("start", [2, 50])
def test_a_changed_start_of_a_stream_is_named_and_takes_nothing_away(
    built: Built, start: int
) -> None:
    one = registered(built)
    StreamHead.objects.filter(stream=one).update(starts_at_version=start)
    assert any(str(one) in text for text in rebuild.compare().differences)
    assert rebuild.rebuild().differences
    assert Client.objects.filter(pk=one).exists()
