"""Signing in, tokens, passwords, hires and leavers."""

from datetime import timedelta

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.appspec import installed
from practice.core.terms import Credential, Role
from practice.http.roles import roles_text
from practice.people_and_places.models.staff import AccessToken, Staff
from practice.policy.hooks import SETTINGS_CHANGED, UPCOMING_SESSION_COUNTS
from practice.policy.models import SettingChange
from tests.builders import PASSWORD, Api, Built, ok, refused, token_for

NEW = "quite another long sentence"


def sign_in(username: str, password: str = PASSWORD, **more: object):
    return Api().post("auth/tokens", {"username": username, "password": password, **more})


def test_signing_in_gives_a_token_that_works_and_is_not_kept(built: Built) -> None:
    answer = ok(sign_in("Desk", label="front desk computer"), 201)
    assert answer["role"] == "front_desk"
    me = ok(Api(answer["token"]).get("me"))
    assert (me["username"], me["role"]) == ("desk", "front_desk")
    assert [f["name"] for f in me["facilities"]] == ["East"]
    row = AccessToken.objects.get(id=answer["id"])
    assert answer["token"] not in (row.digest, row.label)
    assert row.expires_at - row.created_at == timedelta(hours=12)


@pytest.mark.parametrize(("username", "password"), [("desk", "wrong"), ("nobody", PASSWORD)])
def test_wrong_credentials_tell_nothing_and_are_kept(
    built: Built, username: str, password: str
) -> None:
    problem = refused(sign_in(username, password), 401, "wrong_credentials")
    assert username not in problem["detail"]
    entry = AccessEntry.objects.get(code="wrong_credentials")
    desk = built.staff[Role.FRONT_DESK]
    assert entry.staff_id == (desk.pk if username == "desk" else None)
    assert username not in (entry.what, entry.code)


def test_signing_in_works_with_an_expired_token_in_the_header(built: Built) -> None:
    expired = Api(token_for(built.staff[Role.FRONT_DESK], expired=True))
    ok(expired.post("auth/tokens", {"username": "desk", "password": PASSWORD}), 201)


def test_a_token_dies_at_its_hour(built: Built) -> None:
    token = ok(sign_in("desk"), 201)["token"]
    with clock.at(clock.now() + timedelta(hours=11, minutes=59)):
        ok(Api(token).get("me"))
    with clock.at(clock.now() + timedelta(hours=12)):
        refused(Api(token).get("me"), 401, "not_signed_in")


def test_a_revoked_token_ends_at_once(built: Built) -> None:
    token = ok(sign_in("desk"), 201)
    ok(Api(token["token"]).delete(f"auth/tokens/{token['id']}"), 204)
    refused(Api(token["token"]).get("me"), 401, "not_signed_in")


def test_anothers_token_is_404_but_the_owner_may_revoke_it(built: Built) -> None:
    token = ok(sign_in("desk"), 201)
    path = f"auth/tokens/{token['id']}"
    refused(built.api(Role.BILLING).delete(path), 404, "not_found")
    ok(Api(token["token"]).get("me"))
    ok(built.api(Role.OWNER).delete(path), 204)
    refused(Api(token["token"]).get("me"), 401, "not_signed_in")


def test_tokens_of_others_are_not_listed(built: Built) -> None:
    ok(sign_in("desk"), 201)
    found = ok(built.api(Role.BILLING).get("auth/tokens"))["results"]
    assert len(found) == 1
    assert "token" not in found[0]


def test_a_new_password_ends_every_other_token(built: Built) -> None:
    here, there = (ok(sign_in("desk"), 201)["token"] for _ in range(2))
    body = {"current_password": PASSWORD, "new_password": NEW}
    ok(Api(here).patch("me", body))
    ok(Api(here).get("me"))
    refused(Api(there).get("me"), 401, "not_signed_in")
    refused(sign_in("desk"), 401, "wrong_credentials")
    ok(sign_in("desk", NEW), 201)


@pytest.mark.parametrize("password", ["short", "password12345", "123456789012", "owner-owner-"])
def test_a_weak_password_is_400_and_says_why(built: Built, password: str) -> None:
    body = {
        "username": "owner-owner",
        "name": "Someone",
        "role": "billing",
        "password": password,
    }
    answer = built.api(Role.OWNER).post("staff", body)
    if password == "123456789012":
        ok(answer, 201)  # Django's list of common passwords ends before twelve digits.
        return
    assert refused(answer, 400, "weak_password")["errors"][0]["field"] == "password"


def test_a_leaver_is_out_at_once_and_everywhere(built: Built) -> None:
    tokens = [ok(sign_in("desk"), 201)["token"] for _ in range(2)]
    desk = built.staff[Role.FRONT_DESK]
    owner = built.api(Role.OWNER)
    ok(owner.change(f"staff/{desk.pk}", {"is_active": False}))
    for token in tokens:
        refused(Api(token).get("me"), 401, "not_signed_in")
    refused(sign_in("desk"), 401, "wrong_credentials")
    ok(owner.change(f"staff/{desk.pk}", {"is_active": True}))
    refused(Api(tokens[0]).get("me"), 401, "not_signed_in")


def test_a_changed_role_holds_from_the_next_request(built: Built) -> None:
    api = built.api(Role.FRONT_DESK)
    refused(api.get("settings"), 403, "forbidden")
    desk = built.staff[Role.FRONT_DESK]
    ok(built.api(Role.OWNER).change(f"staff/{desk.pk}", {"role": "owner"}))
    ok(api.get("settings"))


def test_the_last_owner_stays(built: Built) -> None:
    owner = built.staff[Role.OWNER]
    api = built.api(Role.OWNER)
    for change in ({"is_active": False}, {"role": "billing"}):
        refused(api.change(f"staff/{owner.pk}", change), 409, "last_owner")
    ok(api.change(f"staff/{built.staff[Role.BILLING].pk}", {"role": "owner"}))
    ok(api.change(f"staff/{owner.pk}", {"role": "billing"}))


def test_a_new_hire_signs_in(built: Built) -> None:
    olga = built.practitioners[Credential.OCCUPATIONAL_THERAPIST]
    body = {
        "username": "Olga.P",
        "name": "Olga P",
        "role": "practitioner",
        "practitioner_id": str(olga.pk),
        "facilities": [str(built.east.pk)],
        "password": NEW,
    }
    owner = built.api(Role.OWNER)
    made = ok(owner.post("staff", body), 201)
    assert "password" not in made
    assert made["username"] == "olga.p"
    ok(sign_in("OLGA.P", NEW), 201)
    refused(owner.post("staff", body), 409, "already_there")


def test_a_practitioner_account_names_its_practitioner(built: Built) -> None:
    body = {"username": "someone", "name": "S", "role": "practitioner", "password": NEW}
    problem = refused(built.api(Role.OWNER).post("staff", body), 400, "invalid")
    assert problem["errors"][0]["field"] == "practitioner_id"


def test_no_password_stands_in_the_history(built: Built) -> None:
    desk = built.staff[Role.FRONT_DESK]
    ok(built.api(Role.OWNER).change(f"staff/{desk.pk}", {"password": NEW}))
    change = SettingChange.objects.get(row_id=str(desk.pk))
    hashed = Staff.objects.get(pk=desk.pk).password
    for seen in (change.before, change.after):
        assert seen is not None
        assert "password" not in seen
        assert hashed not in str(seen)


def test_the_first_owner_comes_from_the_command_line_and_no_other(db, monkeypatch) -> None:
    monkeypatch.setenv("OWNER_PASSWORD", "short")
    with pytest.raises(CommandError, match="too short"):
        call_command("owner", "Ana", "Ana R")
    monkeypatch.setenv("OWNER_PASSWORD", NEW)
    call_command("owner", "Ana", "Ana R")
    assert ok(sign_in("ana", NEW), 201)["role"] == "owner"
    with pytest.raises(CommandError, match="has an owner"):
        call_command("owner", "Eve", "Eve S")


def leave(built: Built, **more: object):
    paula = built.staff[Role.PRACTITIONER]
    return ok(built.api(Role.OWNER).change(f"staff/{paula.pk}", {"is_active": False, **more}))


def offered(built: Built) -> set[str]:
    desk = built.api(Role.FRONT_DESK)
    details = {
        "given_name": "Ada",
        "family_name": "Lind",
        "birth_date": "1970-01-01",
        "phone": "+12155550100",
    }
    query = {
        "client_id": ok(desk.post("clients", details), 201)["id"],
        "facility_id": str(built.east.pk),
        "from": str(clock.now().date() + timedelta(days=2)),
        "to": str(clock.now().date() + timedelta(days=3)),
        "minutes": "60",
    }
    found = ok(desk.get("open-times", query))["results"]
    return {one["practitioner_id"] for one in found}


def test_with_the_account_a_practitioner_leaves_and_is_offered_no_more(
    built: Built, monkeypatch
) -> None:
    told: list[str] = []
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    monkeypatch.setitem(
        installed.extensions, SETTINGS_CHANGED, (lambda uow: told.append(uow.request_id),)
    )
    monkeypatch.setitem(
        installed.extensions,
        UPCOMING_SESSION_COUNTS,
        (lambda who: 3 if who == paula.pk else 9,),
    )
    assert str(paula.pk) in offered(built)
    (warning,) = leave(built)["warnings"]
    assert warning["code"] == "upcoming_sessions"
    assert warning["text"].startswith("3 booked sessions")
    paula.refresh_from_db()
    assert not paula.is_active
    assert told, "sessions ahead are judged again"
    assert str(paula.pk) not in offered(built)


def test_told_otherwise_only_the_account_ends_and_the_answer_says_so(built: Built) -> None:
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    (warning,) = leave(built, practitioner_stays_active=True)["warnings"]
    assert warning["code"] == "still_bookable"
    paula.refresh_from_db()
    assert paula.is_active


def test_a_practitioner_who_left_with_an_account_still_open_is_pointed_out(built: Built) -> None:
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    owner = built.api(Role.OWNER)
    shown = ok(owner.change(f"practitioners/{paula.pk}", {"is_active": False}))
    assert [one["code"] for one in shown["warnings"]] == ["account_active"]
    assert leave(built)["warnings"] == []
    account = built.staff[Role.PRACTITIONER]
    back = ok(owner.change(f"staff/{account.pk}", {"is_active": True}))
    assert [one["code"] for one in back["warnings"]] == ["practitioner_inactive"]


def test_a_refusal_of_access_names_who_may(built: Built) -> None:
    problem = refused(built.api(Role.BILLING).get("settings"), 403, "forbidden")
    assert problem["detail"] == "Only practitioner and owner may do this."
    assert roles_text({Role.OWNER}) == "Only owner may do this."
    assert roles_text({Role.OWNER, Role.FRONT_DESK, Role.PRACTITIONER}) == (
        "Only front desk, practitioner and owner may do this."
    )
