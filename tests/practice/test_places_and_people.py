"""Facilities, rooms, practitioners, licences, sign-offs, supervision: who sees and changes what."""

from typing import Any

import pytest
from django.db import IntegrityError

from practice.clock import clock
from practice.core.appspec import installed
from practice.core.terms import Credential, Role
from practice.law.models import JurisdictionLimit
from practice.people_and_places.models.practitioners import Practitioner
from practice.policy.hooks import SETTINGS_CHANGED
from practice.policy.models import Practice, SettingChange
from tests.builders import NOBODY_KNOWS, Built, at, ok, practitioner, refused

FACILITY = {
    "name": "North",
    "zone": "America/Denver",
    "jurisdiction": "US-CO",
    "phone": "(303) 555-0123",
    "opening_hours": [{"weekday": 1, "opens": "08:00", "closes": "18:00"}],
}


def names(answer) -> list[str]:
    return [row["name"] for row in ok(answer)["results"]]


def test_a_new_facility_reads_back_as_given(built: Built) -> None:
    made = built.api(Role.OWNER).post("facilities", FACILITY)
    shown = ok(built.api(Role.OWNER).get(f"facilities/{ok(made, 201)['id']}"))
    assert shown["phone"] == "+13035550123"
    assert shown["opening_hours"] == [{"weekday": 1, "opens": "08:00:00", "closes": "18:00:00"}]
    assert shown["revision"] == 1


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("zone", "America/Nowhere"),
        ("zone", "-07:00"),
        ("jurisdiction", "US"),
        ("jurisdiction", "XX-CO"),
        ("jurisdiction", "us-co"),
        ("phone", "12"),
        ("phone", "call me"),
        ("name", ""),
        ("name", 7),
        ("name", "x" * 121),
        ("name", "a\x1bb"),
        ("is_active", "yes"),
        ("opening_hours", [{"weekday": 0, "opens": "08:00", "closes": "18:00"}]),
        ("opening_hours", [{"weekday": 1, "opens": "18:00", "closes": "08:00"}]),
        (
            "opening_hours",
            [
                {"weekday": 1, "opens": "08:00", "closes": "13:00"},
                {"weekday": 1, "opens": "12:59", "closes": "18:00"},
            ],
        ),
    ],
)
def test_what_cannot_be_is_400_with_its_field(built: Built, field: str, value: object) -> None:
    api = built.api(Role.OWNER)
    problem = refused(api.post("facilities", {**FACILITY, field: value}), 400, "invalid")
    assert {error["field"].split(".")[0] for error in problem["errors"]} == {field}
    assert names(api.get("facilities")) == ["East", "West"]


def test_desk_and_practitioner_see_their_own_facilities(built: Built) -> None:
    for role in (Role.FRONT_DESK, Role.PRACTITIONER):
        api = built.api(role)
        own = ["East"] if role is Role.FRONT_DESK else ["East", "West"]
        assert names(api.get("facilities")) == own
    desk = built.api(Role.FRONT_DESK)
    refused(desk.get(f"facilities/{built.west.pk}"), 404, "not_found")
    refused(desk.get(f"facilities/{built.west.pk}/rules"), 404, "not_found")
    assert names(desk.get("rooms")) == ["East 1", "East 2"]
    refused(desk.get(f"rooms/{built.rooms['West 1'].pk}"), 404, "not_found")
    assert names(desk.get("rooms", {"facility_id": str(built.west.pk)})) == []


def test_owner_and_billing_see_all_facilities(built: Built) -> None:
    for role in (Role.OWNER, Role.BILLING):
        assert names(built.api(role).get("facilities")) == ["East", "West"]


def test_the_desk_sees_who_works_at_its_facilities(built: Built) -> None:
    desk = built.api(Role.FRONT_DESK)
    assert names(desk.get("practitioners")) == ["Marco", "Olga", "Paula"]
    assert names(desk.get("practitioners", {"credential": "massage_therapist"})) == ["Marco"]
    tessa = built.practitioners[Credential.PERSONAL_TRAINER]
    for part in ("", "/licences", "/competences"):
        refused(desk.get(f"practitioners/{tessa.pk}{part}"), 404, "not_found")
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    licences = ok(desk.get(f"practitioners/{paula.pk}/licences"))["results"]
    assert {row["jurisdiction"] for row in licences} == {"US-PA", "US-CA"}


def test_every_change_leaves_what_stood_before(built: Built) -> None:
    owner = built.api(Role.OWNER)
    path = f"facilities/{built.east.pk}"
    ok(owner.change(path, {"opening_hours": FACILITY["opening_hours"]}))
    found = ok(owner.get("setting-changes", {"row_id": str(built.east.pk)}))["results"]
    assert len(found) == 1
    assert len(found[0]["before"]["opening_hours"]) == 7
    assert len(found[0]["after"]["opening_hours"]) == 1
    who = built.staff[Role.OWNER]
    assert (found[0]["actor"], found[0]["actor_name"]) == (str(who.pk), who.name)
    assert found[0]["table"] == "practice.Facility"


def test_a_change_that_changes_nothing_leaves_no_trace(built: Built) -> None:
    owner = built.api(Role.OWNER)
    answer = owner.change(f"facilities/{built.east.pk}", {"name": "East"})
    assert ok(answer)["revision"] == 1
    hours = ok(owner.get(f"facilities/{built.east.pk}"))["opening_hours"]
    assert (
        ok(owner.change(f"facilities/{built.east.pk}", {"opening_hours": hours}))["revision"] == 1
    )
    assert not SettingChange.objects.exists()


def test_a_name_is_taken_once(built: Built) -> None:
    answer = built.api(Role.OWNER).post("facilities", {**FACILITY, "name": "East"})
    refused(answer, 409, "already_there")


def test_a_facility_policy_can_only_narrow(built: Built) -> None:
    owner = built.api(Role.OWNER)
    path = f"facilities/{built.east.pk}/rules"
    body = {"technique": "passive", "allowance": "not_allowed", "reason": "No table here."}
    refused(owner.post(path, {**body, "allowance": "allowed"}), 400, "invalid")
    made = ok(owner.post(path, body), 201)
    assert "activity" not in made
    refused(owner.post(path, body), 409, "already_there")
    assert len(ok(built.api(Role.FRONT_DESK).get(path))["results"]) == 1
    other = f"facilities/{built.west.pk}/rules/{made['id']}"
    refused(owner.delete(other), 404, "not_found")
    ok(owner.delete(f"{path}/{made['id']}"), 204)
    kept = SettingChange.objects.get(row_id=made["id"], after__isnull=True)
    assert kept.before is not None
    assert kept.before["reason"] == "No table here."


def test_a_room_stays_in_its_facility(built: Built) -> None:
    room = built.rooms["East 1"]
    answer = built.api(Role.OWNER).change(f"rooms/{room.pk}", {"facility_id": str(built.west.pk)})
    refused(answer, 400, "invalid")


def test_a_new_practitioner_with_hours(built: Built) -> None:
    owner = built.api(Role.OWNER)
    body = {
        "name": "Nia",
        "credential": "massage_therapist",
        "npi": "1234567893",
        "languages": ["en", "es"],
        "facilities": [str(built.east.pk)],
        "working_hours": [
            {"facility_id": str(built.east.pk), "weekday": 3, "starts": "09:00", "ends": "12:00"}
        ],
    }
    made = ok(owner.post("practitioners", body), 201)
    shown = ok(owner.get(f"practitioners/{made['id']}"))
    for field in ("name", "npi", "languages", "facilities"):
        assert shown[field] == body[field]
    assert shown["working_hours"][0]["starts"] == "09:00:00"
    problem = refused(owner.post("practitioners", {**body, "npi": "1234567890"}), 400, "invalid")
    assert problem["errors"][0]["field"] == "npi"
    unknown = {**body, "facilities": [str(NOBODY_KNOWS)]}
    assert refused(owner.post("practitioners", unknown), 400, "invalid")


def test_a_licence_ends_after_it_begins_and_can_be_renewed(built: Built) -> None:
    owner = built.api(Role.OWNER)
    path = f"practitioners/{built.practitioners[Credential.PERSONAL_TRAINER].pk}/licences"
    body = {
        "jurisdiction": "US-CA",
        "credential": "massage_therapist",
        "number": "M-1",
        "valid_from": "2026-01-01",
        "expires_on": "2025-12-31",
    }
    refused(owner.post(path, body), 400, "invalid")
    made = ok(owner.post(path, {**body, "expires_on": "2026-12-31"}), 201)
    changed = owner.patch(f"{path}/{made['id']}", {"expires_on": "2027-12-31"}, match=1)
    assert ok(changed)["revision"] == 2
    refused(owner.change(f"{path}/{made['id']}", {"expires_on": "2020-01-01"}), 400, "invalid")
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    refused(owner.change(f"practitioners/{paula.pk}/licences/{made['id']}", {}), 404, "not_found")


def test_a_sign_off_needs_practice_on_colleagues_and_can_be_taken_back(built: Built) -> None:
    owner = built.api(Role.OWNER)
    path = f"practitioners/{built.practitioners[Credential.PERSONAL_TRAINER].pk}/competences"
    row = next(
        row for row in ok(owner.get(path))["results"] if row["technique"] == "contract_relax"
    )
    ok(owner.delete(f"{path}/{row['id']}"), 204)
    body = {
        "technique": "contract_relax",
        "signed_off_by": "Paula",
        "signed_off_on": "2026-02-01",
        "practised_on_colleagues": False,
    }
    refused(owner.post(path, body), 400, "invalid")
    ok(owner.post(path, {**body, "practised_on_colleagues": True}), 201)


def test_a_supervisor_is_named_for_a_place_and_day(built: Built) -> None:
    owner = built.api(Role.OWNER)
    paula, tessa = (
        str(built.practitioners[c].pk)
        for c in (Credential.PHYSICAL_THERAPIST, Credential.PERSONAL_TRAINER)
    )
    body = {
        "supervisor_id": paula,
        "supervised_id": tessa,
        "facility_id": str(built.west.pk),
        "day": "2026-03-09",
    }
    made = ok(owner.post("supervisions", body), 201)
    refused(owner.post("supervisions", body), 409, "already_there")
    refused(owner.post("supervisions", {**body, "supervisor_id": tessa}), 400, "invalid")
    found = ok(owner.get("supervisions", {"from": "2026-03-09", "to": "2026-03-09"}))
    assert [row["id"] for row in found["results"]] == [made["id"]]
    assert ok(built.api(Role.FRONT_DESK).get("supervisions"))["results"] == []
    ok(owner.delete(f"supervisions/{made['id']}"), 204)


def supervision(built: Built, supervisor: Any, supervised: Any, day: str = "2026-03-09") -> Any:
    body = {
        "supervisor_id": str(supervisor.pk),
        "supervised_id": str(supervised.pk),
        "facility_id": str(built.east.pk),
        "day": day,
    }
    return built.api(Role.OWNER).post("supervisions", body)


@pytest.mark.parametrize(
    ("supervisor", "supervised", "entitled"),
    [
        (Credential.PHYSICAL_THERAPIST, Credential.PERSONAL_TRAINER, True),
        (Credential.PHYSICAL_THERAPIST, Credential.PHYSICAL_THERAPIST_ASSISTANT, True),
        (Credential.OCCUPATIONAL_THERAPIST, Credential.PHYSICAL_THERAPIST_ASSISTANT, False),
        (Credential.PERSONAL_TRAINER, Credential.PHYSICAL_THERAPIST, False),
        (Credential.PHYSICAL_THERAPIST_ASSISTANT, Credential.PERSONAL_TRAINER, False),
    ],
)
def test_who_may_supervise_whom_is_a_table_of_credentials(
    built: Built, supervisor: Credential, supervised: Credential, entitled: bool
) -> None:
    # ruling 55: a trainer does not supervise a therapist
    one, other = (practitioner(c.value, c, built.east) for c in (supervisor, supervised))
    answer = supervision(built, one, other)
    if entitled:
        ok(answer, 201)
    else:
        refused(answer, 409, "credential_does_not_supervise")


def test_nobody_supervises_in_a_circle_on_one_day(built: Built) -> None:
    # ruling 55: of two, of three, at any facility; another day is another matter
    first, second, third = (
        practitioner(name, Credential.PHYSICAL_THERAPIST, built.east) for name in "ABC"
    )
    ok(supervision(built, first, second), 201)
    refused(supervision(built, second, first), 409, "supervision_in_a_circle")
    ok(supervision(built, second, third), 201)
    refused(supervision(built, third, first), 409, "supervision_in_a_circle")
    ok(supervision(built, third, first, "2026-03-10"), 201)
    ok(supervision(built, first, third, "2026-03-11"), 201)


def test_a_new_jurisdiction_is_pointed_out_with_its_starter_rows(
    built: Built, settings, tmp_path
) -> None:
    import json

    row = {
        "jurisdiction": "US-CO",
        "credential": "massage_therapist",
        "activity": "assisted_stretching",
        "pathology": "any",
        "allowance": "allowed",
        "effective_from": "2020-01-01",
        "source": "made up for tests",
        "verified_on": "2026-01-01",
    }
    (tmp_path / "jurisdiction_limits.json").write_text(json.dumps([row]))
    settings.FIXTURE_DIRS = [tmp_path]
    owner = built.api(Role.OWNER)
    made = ok(owner.post("facilities", FACILITY), 201)
    assert [w["code"] for w in made["warnings"]] == ["no_limits_on_record"]
    assert made["starter_rows"] == [row]
    path = f"facilities/{made['id']}/starter-limits"
    assert len(ok(owner.post(path), 201)) == 1
    assert JurisdictionLimit.objects.filter(jurisdiction="US-CO").count() == 1
    refused(owner.post(path), 409, "limits_on_record")
    again = ok(owner.post("facilities", {**FACILITY, "name": "South"}), 201)
    assert again["warnings"] == []


def test_what_judges_sessions_is_announced(built: Built, monkeypatch) -> None:
    told: list[str] = []
    monkeypatch.setitem(
        installed.extensions, SETTINGS_CHANGED, (lambda uow: told.append(uow.request_id),)
    )
    owner = built.api(Role.OWNER)
    limit = JurisdictionLimit.objects.all()[0]
    ok(owner.patch(f"jurisdiction-limits/{limit.pk}", {"verified_on": "2026-02-02"}, match=1))
    ok(owner.change(f"facilities/{built.east.pk}", {"name": "E"}))
    assert len(told) == 2
    ok(owner.change("practice", {"name": "Another name"}))
    assert len(told) == 2


def person(built: Built, **more: object) -> dict[str, object]:
    facilities = [str(built.east.pk)]
    return {"name": "Nia", "credential": "massage_therapist", "facilities": facilities, **more}


def codes(shown) -> list[str]:
    return [one["code"] for one in shown["warnings"]]


def test_an_npi_is_one_persons_alone(built: Built) -> None:
    # 45 CFR 162.406: an NPI identifies one provider.
    owner = built.api(Role.OWNER)
    nia = ok(owner.post("practitioners", person(built, npi="1234567893")), 201)
    twice = owner.post("practitioners", person(built, name="Mo", npi="1234567893"))
    problem = refused(twice, 409, "npi_taken")
    assert "Nia" in problem["detail"]
    assert problem["practitioner_id"] == nia["id"]
    other = ok(owner.post("practitioners", person(built, name="Mo")), 201)
    answer = owner.change(f"practitioners/{other['id']}", {"npi": "1234567893"})
    refused(answer, 409, "npi_taken")
    ok(owner.change(f"practitioners/{nia['id']}", {"npi": "1234567893", "name": "Nia B"}))
    with pytest.raises(IntegrityError):
        Practitioner.objects.filter(pk=other["id"]).update(npi="1234567893")


def test_the_same_name_and_credential_again_is_pointed_out(built: Built) -> None:
    owner = built.api(Role.OWNER)
    assert codes(ok(owner.post("practitioners", person(built)), 201)) == []
    assert codes(ok(owner.post("practitioners", person(built, name="NIA")), 201)) == ["same_name"]
    other = person(built, credential="personal_trainer")
    assert codes(ok(owner.post("practitioners", other), 201)) == []


def test_a_sign_off_lies_not_in_the_future_and_a_second_one_says_what_to_do(
    built: Built,
) -> None:
    owner = built.api(Role.OWNER)
    marco = built.practitioners[Credential.MASSAGE_THERAPIST]
    path = f"practitioners/{marco.pk}/competences"
    body = {
        "technique": "passive",
        "signed_off_by": "Paula",
        "signed_off_on": "2026-03-03",
        "practised_on_colleagues": True,
    }
    problem = refused(owner.post(path, body), 409, "already_there")
    row = marco.competences.get(technique="passive")
    assert f"DELETE .../competences/{row.pk}" in problem["detail"]
    ok(owner.delete(f"{path}/{row.pk}"), 204)
    with clock.at(at("2026-03-03T04:00:00+00:00")):  # still 2 March in New York and California
        Practice.objects.update(zone="America/New_York")
        future = owner.post(path, body)
        assert refused(future, 400, "invalid")["errors"][0]["field"] == "signed_off_on"
        ok(owner.post(path, {**body, "signed_off_on": "2026-03-02"}), 201)


def test_a_licence_that_does_not_count_says_why(built: Built) -> None:
    owner = built.api(Role.OWNER)
    trainer = built.practitioners[Credential.PERSONAL_TRAINER]
    path = f"practitioners/{trainer.pk}/licences"
    body = {
        "jurisdiction": "US-CA",
        "credential": "personal_trainer",
        "number": "T-1",
        "valid_from": "2026-01-01",
        "expires_on": "2199-12-31",
    }
    made = ok(owner.post(path, body), 201)
    assert codes(made) == []
    one = f"{path}/{made['id']}"
    changed = ok(owner.change(one, {"credential": "massage_therapist"}))
    assert codes(changed) == ["other_credential"]
    assert "massage therapist" in changed["warnings"][0]["text"]
    ok(owner.change(one, {"credential": "personal_trainer"}))
    assert codes(ok(owner.change(one, {"valid_from": "2199-01-01"}))) == ["not_yet_valid"]
    past = {"valid_from": "2020-01-01", "expires_on": "2020-12-31"}
    assert codes(ok(owner.change(one, past))) == ["expired"]
