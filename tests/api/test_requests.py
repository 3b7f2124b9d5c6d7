"""Idempotency keys, strict parameters, cursor pages, headers."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from practice.core.terms import Role
from practice.http.pagination import CursorPages
from practice.people_and_places.models.facilities import Facility, Room
from practice.policy.models import SettingChange
from practice.work.models import IdempotencyRecord
from tests.bench.statements import listening
from tests.builders import Built, ok, refused


def room(built: Built, name: str) -> dict[str, str]:
    return {"facility_id": str(built.east.pk), "name": name}


def test_a_repeat_under_a_key_gets_the_first_answer_and_does_nothing(built: Built) -> None:
    api = built.api(Role.OWNER)
    first = api.post("rooms", room(built, "Annexe"), key="k-1")
    again = api.post("rooms", room(built, "Annexe"), key="k-1")
    assert (first.status_code, again.status_code) == (201, 201)
    assert again.content == first.content
    assert again["Idempotent-Replayed"] == "true"
    assert Room.objects.filter(name="Annexe").count() == 1


def test_the_etag_of_the_first_answer_is_given_again(built: Built) -> None:
    api = built.api(Role.OWNER)
    path = f"facilities/{built.east.pk}"
    first = api.change(path, {"name": "East side"}, key="k-1")
    again = api.change(path, {"name": "East side"}, key="k-1")
    assert again["ETag"] == first["ETag"] == '"2"'
    assert SettingChange.objects.filter(row_id=built.east.pk).count() == 1


def test_a_key_with_another_body_is_422(built: Built) -> None:
    api = built.api(Role.OWNER)
    ok(api.post("rooms", room(built, "Annexe"), key="k-1"), 201)
    answer = api.post("rooms", room(built, "Loft"), key="k-1")
    refused(answer, 422, "idempotency_key_reused")
    assert not Room.objects.filter(name="Loft").exists()


def test_a_key_belongs_to_its_caller_and_its_address(built: Built) -> None:
    api = built.api(Role.OWNER)
    ok(api.post("rooms", room(built, "Annexe"), key="k-1"), 201)
    other = api.change(f"facilities/{built.east.pk}", room(built, "Annexe"), key="k-1")
    refused(other, 400, "invalid")
    me = {"current_password": "x", "new_password": "another long sentence"}
    desk = built.api(Role.FRONT_DESK).patch("me", me, key="k-1")
    refused(desk, 400, "invalid")


def test_a_refusal_is_not_stored(built: Built) -> None:
    api = built.api(Role.OWNER)
    refused(api.post("rooms", room(built, "East 1"), key="k-1"), 409, "already_there")
    assert not IdempotencyRecord.objects.exists()
    Room.objects.filter(name="East 1").delete()
    ok(api.post("rooms", room(built, "East 1"), key="k-1"), 201)


@pytest.mark.parametrize("key", ["", "a b", "é", "x" * 201])
def test_a_key_that_cannot_be_one_is_400(built: Built, key: str) -> None:
    answer = built.api(Role.OWNER).post("rooms", room(built, "Annexe"), key=key)
    refused(answer, 400, "invalid_idempotency_key")


def test_an_unknown_parameter_is_400_and_names_the_known_ones(built: Built) -> None:
    problem = refused(
        built.api(Role.OWNER).get("rooms", {"facilty_id": "1"}), 400, "unknown_parameter"
    )
    for known in ("facility_id", "is_active", "cursor", "page_size"):
        assert known in problem["detail"]


@pytest.mark.parametrize("path", ["me", "health/live"])
def test_addresses_without_parameters_take_none(built: Built, path: str) -> None:
    answer = built.api(Role.OWNER).get(path, {"verbose": "1"})
    refused(answer, 400, "unknown_parameter")


def test_a_parameter_given_twice_is_400(built: Built) -> None:
    answer = built.api(Role.OWNER).get("rooms?is_active=true&is_active=false")
    refused(answer, 400, "repeated_parameter")


def test_a_filter_with_an_impossible_value_is_400(built: Built) -> None:
    answer = built.api(Role.OWNER).get("rooms", {"facility_id": "east"})
    problem = refused(answer, 400, "invalid")
    assert problem["errors"][0]["field"] == "facility_id"


@pytest.mark.parametrize("size", ["0", "201", "-1", "ten", "1e2", "٣"])
def test_a_page_size_out_of_range_is_400(built: Built, size: str) -> None:
    refused(built.api(Role.OWNER).get("rooms", {"page_size": size}), 400, "invalid")


def pages(api, path: str, **query: str) -> list[list[dict]]:
    found, cursor = [], None
    while True:
        asked = {**query, **({"cursor": cursor} if cursor else {})}
        page = ok(api.get(path, asked))
        found.append(page["results"])
        cursor = page["next_cursor"]
        if cursor is None:
            return found


def test_pages_show_each_row_once_in_order_while_rows_are_added(built: Built) -> None:
    names = [f"Room {n:02}" for n in range(7)]
    Room.objects.bulk_create(Room(facility=built.west, name=n) for n in names)
    api = built.api(Role.OWNER)
    one = ok(api.get("rooms", {"facility_id": str(built.west.pk), "page_size": "4"}))
    Room.objects.create(facility=built.west, name="AAA before the cursor")
    two = ok(
        api.get(
            "rooms",
            {
                "facility_id": str(built.west.pk),
                "page_size": "5",
                "cursor": one["next_cursor"],
            },
        )
    )
    shown = [row["name"] for row in one["results"] + two["results"]]
    assert shown == [*names, "West 1", "West 2"]
    assert two["next_cursor"] is None


def test_descending_orders_page_too(built: Built) -> None:
    api = built.api(Role.OWNER)
    for n in range(5):
        ok(api.change(f"facilities/{built.east.pk}", {"name": f"East {n}"}))
    found = pages(api, "setting-changes", page_size="2")
    ids = [row["id"] for page in found for row in page]
    assert [len(page) for page in found] == [2, 2, 1]
    assert ids == sorted(ids, reverse=True)


def test_a_cursor_hides_what_it_holds_and_fits_only_its_own_list(built: Built) -> None:
    api = built.api(Role.OWNER)
    cursor = ok(api.get("rooms", {"page_size": "1"}))["next_cursor"]
    import base64

    raw = base64.urlsafe_b64decode(cursor + "=" * (-len(cursor) % 4))
    assert b"East" not in raw
    for path, query in (
        ("facilities", {"cursor": cursor}),
        ("rooms", {"cursor": cursor, "is_active": "true"}),
        ("rooms", {"cursor": cursor[:-4]}),
        ("rooms", {"cursor": "bm9wZQ"}),
        ("rooms", {"cursor": "é"}),
    ):
        refused(api.get(path, query), 400, "invalid_cursor")


def test_a_cursor_keeps_microseconds(built: Built) -> None:
    from practice.clock import clock
    from practice.people_and_places.models.staff import AccessToken

    now = clock.now()
    owner = built.staff[Role.OWNER]
    for n in range(4):
        AccessToken.objects.create(
            digest=f"{n:064}",
            staff=owner,
            created_at=now.replace(microsecond=100 + n),
            expires_at=now,
            seal=b"",
        )
    found = pages(built.api(Role.OWNER), "auth/tokens", page_size="1")
    ids = [row["id"] for page in found for row in page]
    assert len(ids) == len(set(ids)) == 5
    assert CursorPages().names() == {"cursor", "page_size"}


def test_answers_carry_their_headers(built: Built) -> None:
    answer = built.api(Role.OWNER).get("me", HTTP_X_REQUEST_ID="front-desk-0001")
    assert answer["X-Request-Id"] == "front-desk-0001"
    assert answer["Cache-Control"] == "no-store"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "frame-ancestors 'none'" in answer["Content-Security-Policy"]
    bad = built.api(Role.OWNER).get("me", HTTP_X_REQUEST_ID="line\tbreak")
    assert bad["X-Request-Id"] != "line\tbreak"


def test_the_documentation_asks_nothing_from_outside(built: Built) -> None:
    from tests.builders import Api

    page = Api().get("docs").content.decode()
    assert "http://" not in page.replace("http://testserver", "")
    assert "https://" not in page
    script = Api().get("docs?script=").content.decode()
    assert "SwaggerUIBundle" in script


def test_signing_in_looks_up_one_row_by_its_digest(built: Built) -> None:
    api = built.api(Role.OWNER)
    ok(api.get("practice"))
    # The driver's own cursor does not pass Django's, and Django's does not pass SQLite's.
    with listening() as heard, CaptureQueriesContext(connection) as captured:
        ok(api.get("practice"))
    sent = heard if connection.vendor == "postgresql" else captured.captured_queries
    assert len([one for one in sent if "practice_" in str(one)]) == 2


def test_facilities_are_read_in_a_few_statements(built: Built, django_assert_max_num_queries):
    api = built.api(Role.FRONT_DESK)
    with django_assert_max_num_queries(4):
        found = ok(api.get("facilities"))
    assert [row["name"] for row in found["results"]] == ["East"]
    assert Facility.objects.count() == 2
