"""Registering, finding and changing clients over HTTP."""

from __future__ import annotations

from typing import Any

import pytest

from practice.accesslog.models import AccessEntry
from practice.core.terms import Role
from tests.builders import NOBODY_KNOWS, Api, Built, account, ok, refused, token_for
from tests.clients.bodies import CLIENT


def test_the_desk_registers_a_client_and_the_details_are_kept_in_standard_form(
    built: Built, desk: Api
) -> None:
    answer = desk.post("clients", CLIENT)
    client = ok(answer, 201)
    assert client["name"] == "Íris Lindqvist"
    assert client["phone"] == "+14155550123"
    assert client["zone"] == built.east.zone
    assert client["facility_ids"] == [str(built.east.pk)]
    assert client["version"] == 1
    assert answer["ETag"] == '"1"'
    again = desk.get(f"clients/{client['id']}")
    assert {**ok(again), "warnings": []} == client


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"birth_date": "2199-01-01"}, "birth_date"),
        ({"birth_date": "1900-01-01"}, "birth_date"),
        ({"birth_date": "1971-02-30"}, "birth_date"),
        ({"phone": "12"}, "phone"),
        ({"zone": "Mars/Base"}, "zone"),
        ({"contact_by": "pigeon"}, "contact_by"),
        ({"contact_by": "text", "phone": ""}, "phone"),
        ({"given_name": "", "family_name": ""}, "family_name"),
        ({"given_name": "x" * 121}, "given_name"),
        ({"language": "not a tag"}, "language"),
        ({"facility_ids": [str(NOBODY_KNOWS)]}, "facility_ids"),
        ({"nickname": "x"}, "nickname"),
    ],
)
def test_details_that_cannot_be_are_400_with_the_field(
    desk: Api, change: dict[str, Any], field: str
) -> None:
    answer = desk.post("clients", {**CLIENT, **change})
    assert answer.status_code == 400, answer.content
    assert field in {error["field"] for error in answer.json()["errors"]}


def test_a_practitioner_sees_the_clients_of_the_places_they_work_at(
    built: Built, client_id: str
) -> None:
    practitioner = built.staff[Role.PRACTITIONER]
    practitioner.facilities.clear()
    working = built.api(Role.PRACTITIONER)
    assert practitioner.practitioner is not None
    practitioner.practitioner.facilities.set([built.east])
    ok(working.get(f"clients/{client_id}/history"))
    practitioner.practitioner.facilities.set([built.west])
    refused(working.get(f"clients/{client_id}/history"), 404, "not_found")


def test_a_client_elsewhere_and_an_unknown_one_are_404(built: Built, client_id: str) -> None:
    west = Api(token_for(account("westdesk", Role.FRONT_DESK, built.west)))
    refused(west.get(f"clients/{client_id}"), 404, "not_found")
    refused(west.get(f"clients/{NOBODY_KNOWS}"), 404, "not_found")
    refused(west.post(f"clients/{client_id}/touch-consent/withdrawal", {}), 404, "not_found")
    assert ok(west.get("clients"))["results"] == []
    assert ok(west.post("clients/search", {"name": "lindqvist"}))["results"] == []


def test_changes_keep_what_is_not_named_and_a_stale_version_is_412(
    desk: Api, client_id: str
) -> None:
    changed = ok(desk.patch(f"clients/{client_id}", {"family_name": "Aalto"}, match=1))
    assert (changed["name"], changed["version"]) == ("Íris Aalto", 2)
    assert changed["email"] == CLIENT["email"]
    same = ok(desk.patch(f"clients/{client_id}", {"family_name": "Aalto"}))
    assert same["version"] == 2, "nothing new, nothing written"
    stale = refused(
        desk.patch(f"clients/{client_id}", {"email": ""}, match=1), 412, "stale_version"
    )
    assert stale["current_version"] == 2


def test_names_are_found_by_their_beginnings_without_accents_in_the_body_only(
    desk: Api, client_id: str
) -> None:
    for name in ("lind", "LINDQVIST íris", "iris l", "Ír"):
        found = ok(desk.post("clients/search", {"name": name}))["results"]
        assert [one["id"] for one in found] == [client_id], name
    assert ok(desk.post("clients/search", {"name": "qvist"}))["results"] == []
    assert ok(desk.post("clients/search", {"birth_date": "1971-04-23"}))["results"]
    assert ok(desk.post("clients/search", {"phone": "+1 415 555 0123"}))["results"]
    assert not ok(desk.post("clients/search", {"name": "lind", "birth_date": "1970-01-01"}))[
        "results"
    ]
    refused(desk.post("clients/search", {}), 400, "invalid")
    refused(desk.get("clients", {"name": "lind"}), 400, "unknown_parameter")


def test_names_of_any_script_and_length_are_kept_and_found(desk: Api) -> None:
    long = "\ufdfa" * 120  # One letter that folds to eighteen.
    for name in (long, "李", "'; DROP TABLE", "مريم", "👩‍🦰"):
        client = ok(desk.post("clients", {**CLIENT, "family_name": name}), 201)
        assert client["family_name"] == name
        found = ok(desk.post("clients/search", {"name": name}))["results"]
        assert client["id"] in [one["id"] for one in found], name


def test_the_list_is_in_order_of_family_names_and_filters_by_place(
    built: Built, desk: Api, owner: Api, client_id: str
) -> None:
    other = ok(desk.post("clients", {**CLIENT, "family_name": "Åberg"}), 201)["id"]
    both = [one["id"] for one in ok(owner.get("clients"))["results"]]
    assert both == [other, client_id]
    here = ok(owner.get("clients", {"facility_id": str(built.east.pk)}))["results"]
    there = ok(owner.get("clients", {"facility_id": str(built.west.pk)}))["results"]
    assert (len(here), there) == (2, [])
    page = ok(owner.get("clients", {"page_size": "1"}))
    rest = ok(owner.get("clients", {"page_size": "1", "cursor": page["next_cursor"]}))
    assert [one["id"] for one in (*page["results"], *rest["results"])] == both


def test_billing_sees_who_a_client_is_but_cannot_ask_for_health(
    built: Built, client_id: str
) -> None:
    billing = built.api(Role.BILLING)
    assert ok(billing.get(f"clients/{client_id}"))["name"] == "Íris Lindqvist"
    refused(billing.get("clients", {"history_status": "none"}), 400, "unknown_parameter")
    for part in ("health-history", "touch-consent", "orders", "history", "record"):
        refused(billing.get(f"clients/{client_id}/{part}"), 403, "forbidden")


def test_every_read_of_a_client_is_logged(desk: Api, client_id: str) -> None:
    before = AccessEntry.objects.count()
    desk.get(f"clients/{client_id}")
    desk.get(f"clients/{client_id}/touch-consent")
    read = AccessEntry.objects.order_by("id")[before:]
    assert [entry.what for entry in read] == ["details", "touch consent"]
    assert {str(entry.client_id) for entry in read} == {client_id}


def test_a_repeat_with_the_same_key_registers_once(desk: Api) -> None:
    first = desk.post("clients", CLIENT, key="register-1")
    second = desk.post("clients", CLIENT, key="register-1")
    assert ok(first, 201)["id"] == ok(second, 201)["id"]
    assert len(ok(desk.get("clients"))["results"]) == 1
