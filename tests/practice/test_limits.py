"""What jurisdictions let credentials do: rows of law with source and dates."""

from datetime import date
from uuid import uuid4

import pytest

from clients.permissions.domain.law import law_on
from practice.core.terms import Credential, Role
from practice.law.fixtures import starter_limits
from practice.law.models import JurisdictionLimit
from practice.law.serializers import JurisdictionLimitSerializer
from practice.people_and_places.selectors.practitioners import supervisor_on
from sessions.assessment.selectors.practice_rows import PracticeRows
from tests.builders import Built, ok, refused

ROW = {
    "jurisdiction": "US-CA",
    "credential": "physical_therapist",
    "activity": "soft_tissue_work",
    "allowance": "allowed",
    "effective_from": "2024-01-01",
    "source": "made up for tests",
    "verified_on": "2026-01-01",
    "direct_access_days": 45,
    "direct_access_visits": 12,
}


def test_a_row_reads_back_with_its_source(built: Built) -> None:
    owner = built.api(Role.OWNER)
    made = ok(owner.post("jurisdiction-limits", ROW), 201)
    shown = ok(built.api(Role.FRONT_DESK).get(f"jurisdiction-limits/{made['id']}"))
    assert {name: shown[name] for name in ROW} == ROW
    assert (shown["pathology"], shown["effective_to"]) == ("any", None)
    refused(owner.post("jurisdiction-limits", ROW), 409, "already_there")


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("jurisdiction", "California"),
        ("credential", "surgeon"),
        ("activity", "massage"),
        ("pathology", "some"),
        ("allowance", "maybe"),
        ("effective_to", "2023-12-31"),
        ("effective_from", "2024-02-30"),
        ("source", ""),
        ("direct_access_days", -1),
        ("direct_access_visits", 1.5),
    ],
)
def test_a_row_that_cannot_be_is_400(built: Built, field: str, value: object) -> None:
    before = JurisdictionLimit.objects.count()
    answer = built.api(Role.OWNER).post("jurisdiction-limits", {**ROW, field: value})
    assert refused(answer, 400, "invalid")["errors"][0]["field"] == field
    assert JurisdictionLimit.objects.count() == before


def test_a_row_holds_from_its_first_to_its_last_day(built: Built) -> None:
    owner = built.api(Role.OWNER)
    made = ok(owner.post("jurisdiction-limits", {**ROW, "effective_to": "2024-12-31"}), 201)

    def holds(day: date) -> bool:
        rows = law_on(PracticeRows().law("US-CA"), day)
        return any(str(row.id) == made["id"] for row in rows)

    days = [date(2023, 12, 31), date(2024, 1, 1), date(2024, 12, 31), date(2025, 1, 1)]
    assert [holds(day) for day in days] == [False, True, True, False]
    JurisdictionLimit.objects.filter(pk=made["id"]).update(payer_id=uuid4())
    assert not any(holds(day) for day in days), "what a payer asks is no law for every client"


def test_the_list_is_filtered_and_complete(built: Built) -> None:
    api = built.api(Role.BILLING)
    found = ok(api.get("jurisdiction-limits", {"jurisdiction": "US-CA"}))["results"]
    assert {row["credential"] for row in found} == {c.value for c in built.practitioners}
    trainer = {"jurisdiction": "US-CA", "credential": "personal_trainer"}
    (row,) = ok(api.get("jurisdiction-limits", trainer))["results"]
    assert row["allowance"] == "not_allowed"


def test_a_supervisor_stands_for_one_place_and_day_only(built: Built) -> None:
    paula, tessa = (
        built.practitioners[c].pk
        for c in (Credential.PHYSICAL_THERAPIST, Credential.PERSONAL_TRAINER)
    )
    body = {
        "supervisor_id": str(paula),
        "supervised_id": str(tessa),
        "facility_id": str(built.west.pk),
        "day": "2026-03-09",
    }
    ok(built.api(Role.OWNER).post("supervisions", body), 201)
    day = date(2026, 3, 9)
    found = supervisor_on(tessa, built.west.pk, day)
    assert found is not None
    assert found.supervisor_id == paula
    assert supervisor_on(tessa, built.east.pk, day) is None
    assert supervisor_on(tessa, built.west.pk, date(2026, 3, 10)) is None
    assert supervisor_on(paula, built.west.pk, day) is None


@pytest.mark.parametrize("jurisdiction", ["US-CA", "US-PA"])
def test_the_starter_rows_of_a_jurisdiction_can_be_taken_over(
    built: Built, jurisdiction: str
) -> None:
    JurisdictionLimit.objects.all().delete()
    place = built.west if jurisdiction == "US-CA" else built.east
    offered = starter_limits(jurisdiction)
    assert offered
    for row in offered:
        given = {name: value for name, value in row.items() if name != "written_on"}
        JurisdictionLimitSerializer.checked({**given, "verified_on": "2026-01-01"})
        assert "Verify with your board" in row["source"]
    owner = built.api(Role.OWNER)
    taken = ok(owner.post(f"facilities/{place.pk}/starter-limits"), 201)
    assert len(taken) == len(offered)
    assert {row["source"] for row in taken} == {row["source"] for row in offered}


def test_a_trainer_in_california_starts_as_not_allowed_to_stretch_by_hand(db) -> None:
    # Common practice, no source.
    (row,) = (
        row
        for row in starter_limits("US-CA")
        if (row["credential"], row["activity"]) == ("personal_trainer", "assisted_stretching")
    )
    assert (row["pathology"], row["allowance"]) == ("any", "not_allowed")


def test_a_facility_that_moves_to_unknown_law_is_told_so(built: Built) -> None:
    owner = built.api(Role.OWNER)
    path = f"facilities/{built.east.pk}"
    assert ok(owner.change(path, {"name": "E"}))["warnings"] == []
    moved = ok(owner.change(path, {"jurisdiction": "US-NV"}))
    told = [warning["code"] for warning in moved["warnings"]]
    assert told == ["no_limits_on_record", "zone_stayed"]
    refused(owner.post(f"{path}/starter-limits"), 409, "no_starter_limits")


def test_a_starter_row_is_unverified_until_the_practice_has_verified_it(built: Built) -> None:
    JurisdictionLimit.objects.all().delete()
    owner = built.api(Role.OWNER)
    taken = ok(owner.post(f"facilities/{built.west.pk}/starter-limits"), 201)
    listed = ok(owner.get("jurisdiction-limits", {"jurisdiction": "US-CA"}))["results"]
    for row in [*taken, *listed]:
        assert (row["verified_on"], row["verified"]) == (None, False)
        assert [one["code"] for one in row["warnings"]] == ["law.not_verified"]
    path = f"jurisdiction-limits/{taken[0]['id']}"
    verified = ok(owner.patch(path, {"verified_on": "2026-03-02"}, match=1))
    assert (verified["verified_on"], verified["verified"]) == ("2026-03-02", True)
    assert verified["warnings"] == []


@pytest.mark.parametrize("field", ["source", "verified_on"])
def test_a_row_of_the_practices_own_names_source_and_day(built: Built, field: str) -> None:
    for body in (
        {name: value for name, value in ROW.items() if name != field},
        {**ROW, field: None},
    ):
        answer = built.api(Role.OWNER).post("jurisdiction-limits", body)
        assert refused(answer, 400, "invalid")["errors"][0]["field"] == field


def test_where_no_starter_rows_are_shipped_the_warning_says_so(built: Built) -> None:
    owner = built.api(Role.OWNER)
    path = f"facilities/{built.east.pk}"
    assert ok(owner.change(path, {"name": "E"}))["limits_on_record"] == len(built.practitioners)
    moved = ok(owner.change(path, {"jurisdiction": "US-NY"}))
    assert moved["limits_on_record"] == 0
    assert "enter your own; there are none shipped for US-NY" in moved["warnings"][0]["text"]
    JurisdictionLimit.objects.filter(jurisdiction="US-CA").delete()
    offered = ok(owner.change(path, {"jurisdiction": "US-CA"}))
    assert "starter rows" in offered["warnings"][0]["text"]


def test_a_code_that_iso_3166_2_does_not_have_is_named(built: Built) -> None:
    answer = built.api(Role.OWNER).post("jurisdiction-limits", {**ROW, "jurisdiction": "US-ZZ"})
    problem = refused(answer, 400, "invalid")
    assert problem["errors"][0]["detail"] == "There is no US-ZZ in ISO 3166-2."


def test_a_limit_is_changed_only_by_whoever_has_read_it_ruling_b7(built: Built) -> None:
    owner, limit = built.api(Role.OWNER), JurisdictionLimit.objects.all()[0]
    path, body = f"jurisdiction-limits/{limit.pk}", {"verified_on": "2026-03-02"}
    refused(owner.patch(path, body), 428, "version_required")
    ok(owner.patch(path, body, match=limit.revision))
