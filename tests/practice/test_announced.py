"""What judges sessions is announced by each command that writes it; what does not is not."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

import pytest

from practice.audit.selectors import erased_at
from practice.clock import clock
from practice.core.appspec import installed
from practice.core.terms import Credential, Role
from practice.law.models import JurisdictionLimit
from practice.people_and_places.locks import lock_rows
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.models.practitioners import Licence, Practitioner
from practice.people_and_places.offboarding import departed_practitioner_warnings
from practice.people_and_places.selectors.staff import count_active_owners
from practice.policy.as_known import rows_as_known
from practice.policy.hooks import SETTINGS_CHANGED
from tests.builders import Built, account, ok, practitioner, refused
from tests.sessions.people import open_client

LOW, HIGH = UUID(int=1), UUID(int=2**128 - 1)
AGE = {
    "jurisdiction": "US-PA",
    "years": 14,
    "effective_from": "2024-01-02",
    "effective_to": "2024-01-02",
    "source": "made up for tests",
    "verified_on": "2026-01-01",
}
LIMIT = {
    "jurisdiction": "US-CA",
    "credential": "physical_therapist",
    "activity": "soft_tissue_work",
    "allowance": "allowed",
    "effective_from": "2024-01-01",
    "source": "made up for tests",
    "verified_on": "2026-01-01",
}
LICENCE = {
    "jurisdiction": "US-PA",
    "credential": "personal_trainer",
    "number": "T-1",
    "valid_from": "2026-01-01",
    "expires_on": "2026-01-01",
}


def person(built: Built, **more: Any) -> dict[str, Any]:
    facilities = [str(built.east.pk)]
    return {"name": "Nia", "credential": "massage_therapist", "facilities": facilities, **more}


def trainer(built: Built) -> str:
    return f"practitioners/{built.practitioners[Credential.PERSONAL_TRAINER].pk}"


def _supervision(built: Built) -> dict[str, Any]:
    return {
        "supervisor_id": str(built.practitioners[Credential.PHYSICAL_THERAPIST].pk),
        "supervised_id": str(built.practitioners[Credential.PERSONAL_TRAINER].pk),
        "facility_id": str(built.east.pk),
        "day": "2026-03-09",
    }


ANNOUNCED: dict[str, tuple[Callable[[Built], str], Callable[[Built], dict[str, Any]]]] = {
    "a practitioner": (lambda _: "practitioners", person),
    "a licence": (lambda built: f"{trainer(built)}/licences", lambda _: LICENCE),
    "an age of consent": (lambda _: "consent-ages", lambda _: AGE),
    "a limit": (lambda _: "jurisdiction-limits", lambda _: LIMIT),
    "a supervision": (lambda _: "supervisions", _supervision),
    "a policy": (
        lambda built: f"facilities/{built.east.pk}/rules",
        lambda _: {"technique": "passive", "allowance": "not_allowed", "reason": "No table."},
    ),
}


@pytest.fixture
def told(built: Built, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    found: list[str] = []
    monkeypatch.setitem(
        installed.extensions, SETTINGS_CHANGED, (lambda uow: found.append(uow.request_id),)
    )
    return found


@pytest.mark.parametrize("what", sorted(ANNOUNCED))
def test_what_is_added_is_announced_once(built: Built, told: list[str], what: str) -> None:
    where, body = ANNOUNCED[what]
    ok(built.api(Role.OWNER).post(where(built), body(built)), 201)
    assert len(told) == 1


def test_a_removed_policy_and_supervision_are_announced(built: Built, told: list[str]) -> None:
    owner = built.api(Role.OWNER)
    for what in ("a policy", "a supervision"):
        where, body = ANNOUNCED[what]
        made = ok(owner.post(where(built), body(built)), 201)
        told.clear()
        ok(owner.delete(f"{where(built)}/{made['id']}"), 204)
        assert len(told) == 1, what


def test_a_changed_limit_practitioner_licence_and_age_are_announced(
    built: Built, told: list[str]
) -> None:
    owner = built.api(Role.OWNER)
    age = ok(owner.post("consent-ages", AGE), 201)["id"]
    licence = Licence.objects.order_by("pk")[0]
    limit = JurisdictionLimit.objects.all()[0].pk
    for path, change in (
        (f"jurisdiction-limits/{limit}", {"verified_on": "2026-02-02"}),
        (f"practitioners/{licence.practitioner_id}", {"name": "Another"}),
        (f"practitioners/{licence.practitioner_id}/licences/{licence.pk}", {"number": "N-1"}),
        (f"consent-ages/{age}", {"years": 15}),
    ):
        told.clear()
        ok(owner.change(path, change))
        assert len(told) == 1, path


def test_an_age_of_consent_ends_no_day_before_it_begins(built: Built) -> None:
    owner = built.api(Role.OWNER)
    early = owner.post("consent-ages", {**AGE, "effective_to": "2024-01-01"})
    assert refused(early, 400, "invalid")["errors"][0]["field"] == "effective_to"
    made = ok(owner.post("consent-ages", AGE), 201)
    early = owner.change(f"consent-ages/{made['id']}", {"effective_from": "2024-01-03"})
    refused(early, 400, "invalid")


def test_a_licence_expires_no_day_before_it_is_valid(built: Built) -> None:
    owner, where = built.api(Role.OWNER), f"{trainer(built)}/licences"
    refused(owner.post(where, {**LICENCE, "expires_on": "2025-12-31"}), 400, "invalid")
    ok(owner.post(where, LICENCE), 201)


def test_a_room_belongs_to_a_facility_that_there_is_and_stays_there(built: Built) -> None:
    owner = built.api(Role.OWNER)
    nowhere = refused(owner.post("rooms", {"facility_id": str(LOW), "name": "A"}), 400, "invalid")
    assert nowhere["errors"][0]["field"] == "facility_id"
    room = f"rooms/{built.rooms['East 1'].pk}"
    refused(owner.change(room, {"facility_id": str(built.west.pk)}), 400, "invalid")
    ok(owner.change(room, {"facility_id": str(built.east.pk)}))


def test_of_facilities_that_are_not_there_the_first_is_named(built: Built) -> None:
    body = person(built, facilities=[str(HIGH), str(LOW)])
    problem = refused(built.api(Role.OWNER).post("practitioners", body), 400, "invalid")
    assert problem["errors"][0]["detail"] == f"There is no facility {LOW}."


@pytest.mark.parametrize(("starts", "taken"), [("12:00", True), ("11:59", False)])
def test_working_hours_touch_and_do_not_overlap(built: Built, starts: str, taken: bool) -> None:
    place = {"weekday": 1, "facility_id": str(built.east.pk)}
    hours = [
        {**place, "starts": "08:00", "ends": "12:00"},
        {**place, "starts": starts, "ends": "18:00"},
    ]
    answer = built.api(Role.OWNER).post("practitioners", person(built, working_hours=hours))
    if taken:
        ok(answer, 201)
    else:
        assert refused(answer, 400, "invalid")["errors"][0]["field"] == "working_hours"


@pytest.mark.parametrize(("starts", "taken"), [("18:00", True), ("00:00", False)])
def test_hours_that_end_at_midnight_end_with_their_day(
    built: Built, starts: str, taken: bool
) -> None:
    hours = [{"weekday": 1, "opens": starts, "closes": "00:00"}]
    places = {"opening_hours": [{"weekday": 1, "opens": "12:00", "closes": "18:00"}, *hours]}
    answer = built.api(Role.OWNER).change(f"facilities/{built.east.pk}", places)
    if taken:
        assert ok(answer)["opening_hours"][-1]["closes"][:5] == "00:00"
    else:
        assert refused(answer, 400, "invalid")["errors"][0]["field"] == "opening_hours"


def test_the_owner_sees_a_practitioner_of_no_facility_and_the_desk_does_not(built: Built) -> None:
    row = Practitioner.objects.create(name="Nia", credential=Credential.MASSAGE_THERAPIST)
    ok(built.api(Role.OWNER).get(f"practitioners/{row.pk}"))
    refused(built.api(Role.FRONT_DESK).get(f"practitioners/{row.pk}"), 404, "not_found")


def test_only_owners_who_can_sign_in_are_counted(built: Built) -> None:
    assert count_active_owners() == 1
    gone = account("gone", Role.OWNER)
    assert count_active_owners() == 2
    gone.is_active = False
    gone.save()
    assert count_active_owners() == 1


def test_a_practitioner_who_left_is_warned_of_while_their_account_lives(built: Built) -> None:
    row = practitioner("Nia", Credential.MASSAGE_THERAPIST, built.east)
    account("nia", Role.PRACTITIONER, built.east, of=row)
    assert departed_practitioner_warnings(row) == []
    row.is_active = False
    assert [one.code for one in departed_practitioner_warnings(row)] == ["account_active"]


def test_a_row_added_since_was_not_known_then(built: Built) -> None:
    before = clock.now()
    made = ok(built.api(Role.OWNER).post("jurisdiction-limits", LIMIT), 201)["id"]

    def known(at: Any) -> set[str]:
        return {str(row.pk) for row in rows_as_known(JurisdictionLimit, at)}

    assert made not in known(before)
    assert made in known(clock.now())


def test_whether_a_record_was_erased_is_asked_of_its_head_alone(
    built: Built, django_assert_num_queries: Any
) -> None:
    client_id = UUID(str(open_client(built)))
    with django_assert_num_queries(1):
        assert erased_at(client_id) is None


def test_no_ids_lock_no_rows(built: Built, django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(0):
        assert lock_rows(Facility, frozenset()) == {}
