import json
from uuid import UUID, uuid4

import psycopg
import pytest
from django.db import OperationalError
from rest_framework.exceptions import Throttled
from rest_framework.request import Request
from rest_framework.test import APIRequestFactory

from practice.accesslog.models import AccessEntry
from practice.core.events import UnknownEventVersion
from practice.core.reasons import Audience, Reason, Rejected
from practice.core.terms import Role
from practice.http import refusal_log
from practice.http.problems import exception_handler, flattened
from practice.people_and_places.models.facilities import Room
from practice.policy import change_log
from practice.policy.models import SettingChange
from tests.builders import NOBODY_KNOWS, Api, Built, ok, refused, version_of

REASON = Reason(code="preference.gender", text="A woman is preferred.", source="the preference")


def handled(exc: Exception, role: Role | None = None, *, staff=None, address=None, sent=None):
    request = Request(APIRequestFactory().get("/x"))
    if role is not None:
        pk = staff.pk if staff else None
        known = {"role": role.value, "pk": pk, "is_authenticated": True}
        request.user = type("Someone", (), known)()
    if sent is not None:
        request._full_data = sent
    return exception_handler(exc, {"request": request, "kwargs": address or {}})


def test_an_unknown_address_is_a_problem_document(built: Built) -> None:
    refused(built.api(Role.OWNER).get("nothing-here"), 404, "not_found")


def test_an_unknown_id_is_404(built: Built) -> None:
    refused(built.api(Role.OWNER).get(f"facilities/{NOBODY_KNOWS}"), 404, "not_found")


def test_nobody_is_asked_to_sign_in_with_a_challenge(built: Built) -> None:
    answer = Api().get("facilities")
    refused(answer, 401, "not_signed_in")
    assert answer["WWW-Authenticate"] == "Bearer"


def test_a_foreign_method_is_405_and_names_the_others(built: Built) -> None:
    answer = built.api(Role.OWNER).put("facilities", {})
    refused(answer, 405, "method_not_allowed")
    assert "POST" in answer["Allow"]


def test_a_form_is_415(built: Built) -> None:
    client = built.api(Role.OWNER).client
    answer = client.post("/api/v1/rooms", "a=b", content_type="application/x-www-form-urlencoded")
    refused(answer, 415, "unsupported_media_type")


@pytest.mark.parametrize(
    "body",
    [
        b"{",
        b"\xff{}",
        b'{"name": NaN}',
        b'{"name": 1e999}',
        b'{"name": 99999999999999999999}',
        b'{"name": "a", "name": "b"}',
        b'{"name": "\\ud800"}',
        b"[" * 51 + b"]" * 51,
        b"[" * 100_000,
        b'{"a":' * 60 + b"1" + b"}" * 60,
    ],
)
def test_malformed_json_is_400_and_writes_nothing(built: Built, body: bytes) -> None:
    rooms = Room.objects.count()
    client = built.api(Role.OWNER).client
    answer = client.post("/api/v1/rooms", body, content_type="application/json")
    refused(answer, 400, "malformed_json")
    assert Room.objects.count() == rooms


def test_nesting_of_fifty_still_parses(built: Built) -> None:
    client = built.api(Role.OWNER).client
    body = b"[" * 50 + b"]" * 50
    answer = client.post("/api/v1/rooms", body, content_type="application/json")
    refused(answer, 400, "invalid")


def test_a_body_over_the_limit_is_413(built: Built, settings) -> None:
    settings.BODY_LIMIT_BYTES = 1000
    client = built.api(Role.OWNER).client
    at_limit = json.dumps({"x": "y" * (1000 - len('{"x": ""}'))})
    assert len(at_limit) == 1000
    fits = client.post("/api/v1/rooms", at_limit, content_type="application/json")
    refused(fits, 400, "invalid")
    refused(
        client.post("/api/v1/rooms", at_limit + " ", content_type="application/json"),
        413,
        "body_too_large",
    )


def test_a_chunked_body_is_411(built: Built) -> None:
    answer = built.api(Role.OWNER).post("rooms", {}, HTTP_TRANSFER_ENCODING="chunked")
    refused(answer, 411, "length_required")


def test_an_unknown_field_is_refused_and_the_known_ones_named(built: Built) -> None:
    body = {"facility_id": str(built.east.pk), "name": "Annexe", "colour": "blue"}
    problem = refused(built.api(Role.OWNER).post("rooms", body), 400, "invalid")
    assert problem["errors"][0]["field"] == "colour"
    assert "facility_id" in problem["errors"][0]["detail"]


def test_a_read_only_field_is_an_unknown_one(built: Built) -> None:
    body = {"id": str(NOBODY_KNOWS), "facility_id": str(built.east.pk), "name": "Annexe"}
    problem = refused(built.api(Role.OWNER).post("rooms", body), 400, "invalid")
    assert [error["field"] for error in problem["errors"]] == ["id"]


def test_nested_errors_name_their_dotted_field(built: Built) -> None:
    hours = [{"weekday": 1, "opens": "08:00", "closes": "18:00"}, {"weekday": 8, "opens": "x"}]
    answer = built.api(Role.OWNER).change(f"facilities/{built.east.pk}", {"opening_hours": hours})
    fields = {error["field"] for error in refused(answer, 400, "invalid")["errors"]}
    assert fields == {
        "opening_hours.1.weekday",
        "opening_hours.1.opens",
        "opening_hours.1.closes",
    }


def test_flattened_keeps_one_line_per_sentence() -> None:
    detail = {"a": ["x", "y"], "b": {"non_field_errors": ["z"]}, "c": [{}, {"d": ["w"]}]}
    assert list(flattened(detail)) == [("a", "x"), ("a", "y"), ("b", "z"), ("c.1.d", "w")]


def test_health_reasons_become_one_general_code_at_the_desk() -> None:
    reasons = [
        Reason(code="drains_in", text="Drains.", source="s", audience=Audience.CLINICAL),
        Reason(code="fever", text="38.4 °C.", source="s", audience=Audience.CLINICAL),
        Reason(code="consent_expired", text="Expired.", source="s"),
    ]
    refusal = Rejected("not_hands_on", "Not today.", reasons=reasons)
    codes = {
        role: [r["code"] for r in handled(refusal, role).data["reasons"]]
        for role in (Role.FRONT_DESK, Role.BILLING, Role.PRACTITIONER, Role.OWNER)
    }
    general = ["health", "consent_expired"]
    assert codes[Role.FRONT_DESK] == codes[Role.BILLING] == general
    assert codes[Role.PRACTITIONER] == codes[Role.OWNER] == [r.code for r in reasons]
    assert "reasons" not in handled(refusal).data


def test_a_lock_not_had_in_time_is_503_with_retry_after() -> None:
    class LockNotAvailable(Exception):
        sqlstate = "55P03"

    error = OperationalError("canceling statement due to lock timeout")
    error.__cause__ = LockNotAvailable()
    for lock in (error, OperationalError("database is locked")):
        answer = handled(lock)
        assert (answer.status_code, answer.data["code"]) == (503, "busy")
        assert int(answer["Retry-After"]) > 0
    assert handled(OperationalError("no such table")) is None


@pytest.mark.parametrize("state", [None, "08006", "53100", "57014", "57P01"])
def test_a_database_out_of_reach_is_503(state: str | None) -> None:
    cause = psycopg.OperationalError("gone")
    cause.sqlstate = state
    error = OperationalError("gone")
    error.__cause__ = cause
    answer = handled(error)
    assert answer is not None
    assert (answer.status_code, answer.data["code"]) == (503, "database_unavailable")
    assert "gone" not in str(answer.data)
    full = handled(OperationalError("database or disk is full"))
    assert full is not None
    assert full.status_code == 503


def test_an_event_of_a_newer_program_is_503() -> None:
    answer = handled(UnknownEventVersion("session.booked version 9"))
    assert (answer.status_code, answer.data["code"]) == (503, "newer_record")
    assert int(answer["Retry-After"]) > 0


def test_throttling_says_when_to_come_back() -> None:
    answer = handled(Throttled(wait=12.2))
    assert (answer.status_code, answer.data["code"]) == (429, "too_many_requests")
    assert answer["Retry-After"] == "13"


def test_a_stale_version_is_412_and_gives_the_current_one(built: Built) -> None:
    api = built.api(Role.OWNER)
    path = f"facilities/{built.east.pk}"
    first = api.get(path)
    assert version_of(first) == 1
    changed = api.patch(path, {"name": "East side"}, match=1)
    ok(changed)
    assert changed["ETag"] == '"2"'
    problem = refused(api.patch(path, {"name": "Easter"}, match=1), 412, "stale_version")
    assert problem["current_version"] == 2
    built.east.refresh_from_db()
    assert built.east.name == "East side"


def test_a_version_that_is_no_tag_is_400(built: Built) -> None:
    answer = built.api(Role.OWNER).patch(
        f"facilities/{built.east.pk}", {"name": "X"}, HTTP_IF_MATCH="W/1"
    )
    refused(answer, 400, "invalid_if_match")


def test_refused_attempts_are_kept_without_the_query(built: Built) -> None:
    refused(built.api(Role.FRONT_DESK).get("staff", {"role": "owner"}), 403, "forbidden")
    entry = AccessEntry.objects.get(code="forbidden")
    assert entry.what == "GET /api/v1/staff"
    assert entry.staff_id == built.staff[Role.FRONT_DESK].pk
    assert entry.outcome == AccessEntry.Outcome.REFUSED


def test_a_refused_command_leaves_nothing_but_the_refusal(built: Built) -> None:
    api = built.api(Role.OWNER)
    body = {"facility_id": str(built.east.pk), "name": "East 1"}
    refused(api.post("rooms", body), 409, "already_there")
    assert not SettingChange.objects.exists()
    assert not AccessEntry.objects.exists()  # a name taken is a conflict, no attempt at access


@pytest.mark.parametrize(
    ("problem", "client", "kept"),
    [
        (Rejected("already_there", "Taken."), None, False),
        (Rejected("slot_taken", "Gone."), None, False),
        (Rejected("preference", "No.", reasons=(REASON,)), None, True),
        (Rejected("not_permitted", "No."), NOBODY_KNOWS, True),
        (Rejected("not_found", "None.", status=404), None, True),
        (Rejected("invalid", "No.", status=400), NOBODY_KNOWS, False),
        (Rejected("stale_version", "Old.", status=412), NOBODY_KNOWS, False),
    ],
)
def test_only_refusals_of_access_and_of_rules_on_a_record_are_kept(
    built: Built, problem: Rejected, client: UUID | None, kept: bool
) -> None:
    address = {"client_id": client} if client else {}
    handled(problem, Role.FRONT_DESK, staff=built.staff[Role.FRONT_DESK], address=address)
    entries = list(AccessEntry.objects.values_list("code", "client_id"))
    assert entries == ([(problem.code, client)] if kept else [])


def test_a_refusal_is_kept_with_the_client_whom_it_was_about(built: Built, monkeypatch) -> None:
    session, client = uuid4(), uuid4()
    monkeypatch.setattr(refusal_log, "client_of", lambda name, value: {session: client}.get(value))
    desk = built.staff[Role.FRONT_DESK]
    problem = Rejected("preference", "No.", reasons=(REASON,))
    handled(problem, Role.FRONT_DESK, staff=desk, address={"session_id": session})
    handled(problem, Role.FRONT_DESK, staff=desk, sent={"client_id": str(client)})
    handled(problem, Role.FRONT_DESK, staff=desk, sent={"client_id": "nobody"})
    found = list(AccessEntry.objects.order_by("id").values_list("client_id", flat=True))
    assert found == [client, client, None]
    gone = Rejected("slot_taken", "Gone.")
    handled(gone, Role.FRONT_DESK, staff=desk, address={"session_id": session})
    assert AccessEntry.objects.count() == len(found)  # a slot gone is no attempt at access


def test_a_failure_inside_says_nothing_of_its_cause(built: Built, monkeypatch) -> None:
    def broken(*args: object, **kwargs: object) -> None:
        raise RuntimeError("secret detail")

    monkeypatch.setattr(change_log, "create_row", broken)
    client = built.api(Role.OWNER).client
    client.raise_request_exception = False
    body = {"facility_id": str(built.east.pk), "name": "Annexe"}
    answer = client.post("/api/v1/rooms", body, format="json")
    problem = refused(answer, 500, "server_error")
    assert "secret" not in answer.content.decode()
    assert problem["request_id"] == answer["X-Request-Id"]
