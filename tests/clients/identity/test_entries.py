"""Emergency contacts and unsuitable times one by one: nothing that another device added is lost
by silence, and what was written before they had ids is read with them."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

import msgspec
import pytest

from clients.identity.domain.contact import EmergencyContact, UnsuitableTime
from clients.identity.domain.entries import (
    MOST,
    replaced,
    with_added,
    with_changed,
    with_content_ids,
    without,
)
from clients.identity.domain.events import ClientDetailsChanged, ClientRegistered
from clients.identity.models import Client
from practice.core.events import registry
from practice.core.reasons import Rejected
from practice.core.terms import Role
from tests.builders import Api, Built, ok, refused
from tests.clients.bodies import CLIENT

database = pytest.mark.django_db
BROTHER = {"name": "Jon Lind", "relation": "brother", "phone": "+14155550188"}
SISTER = {"name": "Ada Lind", "relation": "sister", "phone": "+14155550189"}
FIRST, SECOND = UUID(int=1), UUID(int=2)
JON = EmergencyContact(id=FIRST, **BROTHER)
ADA = EmergencyContact(id=SECOND, **SISTER)
FIELD = "emergency_contacts"


def new_id() -> UUID:
    return UUID(int=9)


def as_sent(one: EmergencyContact, **more: Any) -> dict[str, Any]:
    return {**msgspec.structs.asdict(one), **more}


# The whole list


@pytest.mark.parametrize("was_read", [False, True])
def test_what_is_sent_as_it_stands_keeps_its_ids(was_read: bool) -> None:
    for given in ([BROTHER, SISTER], [as_sent(JON), as_sent(ADA)], [BROTHER, as_sent(ADA)]):
        assert replaced(FIELD, given, (JON, ADA), new_id, was_read=was_read) == (JON, ADA)


def test_another_order_is_no_loss() -> None:
    assert replaced(FIELD, [SISTER, BROTHER], (JON, ADA), new_id, was_read=False) == (ADA, JON)


def test_one_more_has_an_id_of_its_own() -> None:
    found = replaced(FIELD, [BROTHER, SISTER], (JON,), new_id, was_read=False)
    assert found == (JON, msgspec.structs.replace(ADA, id=new_id()))


def test_two_of_one_content_stay_two() -> None:
    twin = msgspec.structs.replace(JON, id=UUID(int=3))
    given = [BROTHER, BROTHER]
    assert replaced(FIELD, given, (JON, twin), new_id, was_read=False) == (JON, twin)


def test_of_an_entry_that_is_named_what_is_left_out_stays() -> None:
    given = [{"id": JON.id, "phone": "+14155550100"}]
    (one,) = replaced(FIELD, given, (JON,), new_id, was_read=False)
    assert one == msgspec.structs.replace(JON, phone="+14155550100")


@pytest.mark.parametrize("given", [[], [BROTHER], [{**SISTER, "relation": "aunt"}, BROTHER]])
def test_who_has_not_read_the_record_leaves_nothing_out(given: list[dict[str, Any]]) -> None:
    with pytest.raises(Rejected, match="If-Match") as refusal:
        replaced(FIELD, given, (JON, ADA), new_id, was_read=False)
    assert (refusal.value.status, refusal.value.extra) == (428, {"left_out": [str(ADA.id)]}) or (
        given == []
    )
    assert FIELD in refusal.value.fields
    assert len(replaced(FIELD, given, (JON, ADA), new_id, was_read=True)) == len(given)


@pytest.mark.parametrize(
    "given", [[as_sent(JON, id=uuid4())], [as_sent(JON), as_sent(JON)]], ids=["unknown", "twice"]
)
def test_an_id_stands_for_one_entry_that_is_here(given: list[dict[str, Any]]) -> None:
    with pytest.raises(Rejected, match="no entry here, or twice") as refusal:
        replaced(FIELD, given, (JON,), new_id, was_read=True)
    assert refusal.value.status == 400


# One by one


def test_one_is_added_changed_and_taken_away_and_the_others_stay() -> None:
    added = with_added(FIELD, (JON,), SISTER, new_id)
    assert added == (JON, msgspec.structs.replace(ADA, id=new_id()))
    changed = with_changed(FIELD, (JON, ADA), FIRST, {"phone": "+14155550100"})
    assert changed == (msgspec.structs.replace(JON, phone="+14155550100"), ADA)
    assert without((JON, ADA), FIRST) == (ADA,)


def test_the_same_one_again_is_said_to_stand_there() -> None:
    with pytest.raises(Rejected) as refusal:
        with_added(FIELD, (JON,), BROTHER, new_id)
    assert refusal.value.code == "already_on_record"


@pytest.mark.parametrize("field", sorted(MOST))
def test_there_are_as_many_as_are_kept_and_no_more(field: str) -> None:
    given: dict[str, Any] = SISTER if field == FIELD else {"weekday": 1}
    rows = [
        EmergencyContact(id=uuid4(), name=f"{one}", phone="+14155550188")
        if field == FIELD
        else UnsuitableTime(id=uuid4(), weekday=2, reason=f"{one}")
        for one in range(MOST[field])
    ]
    assert len(with_added(field, rows[:-1], given, new_id)) == MOST[field]
    with pytest.raises(Rejected) as refusal:
        with_added(field, rows, given, new_id)
    assert refusal.value.code == "too_many"


def test_one_that_is_not_there_is_404() -> None:
    for act in (lambda: without((JON,), SECOND), lambda: with_changed(FIELD, (JON,), SECOND, {})):
        with pytest.raises(Rejected) as refusal:
            act()
        assert refusal.value.status == 404


# Written before they had ids


def test_an_entry_without_an_id_gets_the_same_one_wherever_it_stands() -> None:
    first, second = with_content_ids([BROTHER, SISTER])
    assert with_content_ids([SISTER, BROTHER]) == [second, first]
    assert with_content_ids([{**BROTHER, "note": ""}])[0]["id"] == first["id"]
    assert with_content_ids([{**BROTHER, "phone": "+14155550100"}])[0]["id"] != first["id"]
    twins = with_content_ids([BROTHER, BROTHER])
    assert twins[0]["id"] == first["id"] != twins[1]["id"]
    assert with_content_ids([first]) == [first]


@pytest.mark.parametrize(
    ("name", "kind"),
    [("client.registered", ClientRegistered), ("client.details_changed", ClientDetailsChanged)],
)
@pytest.mark.parametrize("version", [1, 2])
def test_payloads_from_before_are_read_with_ids(name: str, kind: Any, version: int) -> None:
    details: dict[str, Any] = {"given_name": "Mara", "zone": "Etc/UTC"}
    if version == 2:
        details |= {FIELD: [BROTHER], "unsuitable_times": [{"weekday": 2}]}
    event = registry.decode(name, version, msgspec.json.encode({"details": details}))
    assert isinstance(event, kind)
    contacts, times = event.details.emergency_contacts, event.details.unsuitable_times
    assert len(contacts) == len(times) == (1 if version == 2 else 0)
    assert all(one.id is not None for one in (*contacts, *times))


# Over HTTP


def registered(desk: Api, **more: Any) -> dict[str, Any]:
    made: dict[str, Any] = ok(desk.post("clients", {**CLIENT, **more}), 201)
    return made


@database
def test_two_devices_lose_nothing_of_each_other(desk: Api) -> None:
    made = registered(desk, emergency_contacts=[BROTHER])
    path = f"clients/{made['id']}"
    added = ok(desk.post(f"{path}/emergency-contacts", SISTER), 201)
    jon, ada = added[FIELD]
    assert (jon["name"], ada["name"], jon["id"]) == ("Jon Lind", "Ada Lind", made[FIELD][0]["id"])

    unread = [{**jon, "relation": "twin brother"}]
    problem = refused(desk.patch(path, {FIELD: unread}), 428, "version_required")
    assert problem["left_out"] == [ada["id"]]
    stale = {FIELD: unread}
    assert desk.patch(path, stale, match=made["version"]).status_code == 412
    assert [one["name"] for one in ok(desk.get(path))[FIELD]] == ["Jon Lind", "Ada Lind"]
    left = ok(desk.patch(path, {FIELD: unread}, match=added["version"]))
    assert [one["relation"] for one in left[FIELD]] == ["twin brother"]


@database
@pytest.mark.parametrize(
    ("address", "field", "entry", "change"),
    [
        ("emergency-contacts", FIELD, BROTHER, {"relation": "twin brother"}),
        ("unsuitable-times", "unsuitable_times", {"weekday": 2}, {"reason": "school"}),
    ],
)
def test_each_is_added_changed_and_taken_away_over_http(
    desk: Api, owner: Api, address: str, field: str, entry: dict[str, Any], change: dict[str, Any]
) -> None:
    client = registered(desk)["id"]
    path = f"clients/{client}/{address}"
    (one,) = ok(desk.post(path, entry), 201)[field]
    assert {name: one[name] for name in entry} == entry
    refused(desk.post(path, entry), 409, "already_on_record")
    (changed,) = ok(desk.patch(f"{path}/{one['id']}", change))[field]
    assert changed == {**one, **change}
    refused(desk.patch(f"{path}/{uuid4()}", change), 404, "not_found")
    assert ok(desk.delete(f"{path}/{one['id']}"))[field] == []
    refused(desk.delete(f"{path}/{one['id']}"), 404, "not_found")
    texts = [row["text"] for row in ok(owner.get(f"clients/{client}/history"))["results"]]
    told = f"The client's details were changed: {field.replace('_', ' ')}."
    assert texts.count(told) == 3


@database
def test_a_time_that_cannot_be_is_refused_one_by_one_too(desk: Api) -> None:
    path = f"clients/{registered(desk)['id']}/unsuitable-times"
    refused(desk.post(path, {"weekday": 2, "starts": "09:00"}), 400, "invalid")
    (one,) = ok(desk.post(path, {"weekday": 2}), 201)["unsuitable_times"]
    refused(desk.patch(f"{path}/{one['id']}", {"weekday": None}), 400, "invalid")


@database
def test_a_new_client_names_no_ids(desk: Api) -> None:
    sent = {**CLIENT, FIELD: [{**BROTHER, "id": str(uuid4())}]}
    refused(desk.post("clients", sent), 400, "invalid")


@database
def test_rows_from_before_are_shown_with_the_ids_that_their_events_have(
    built: Built, desk: Api
) -> None:
    client = registered(desk, emergency_contacts=[BROTHER])["id"]
    Client.objects.filter(pk=client).update(emergency_contacts=[BROTHER])
    (shown,) = ok(desk.get(f"clients/{client}"))[FIELD]
    assert shown["id"] == with_content_ids([BROTHER])[0]["id"]
    (billing,) = ok(built.api(Role.BILLING).get(f"clients/{client}"))[FIELD]
    assert billing == shown
