"""Ruling 55: permissions as known at an instant, by the practice's tables as they stood then."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

import pytest

from practice.clock import clock
from practice.core.terms import Allowance, Credential, Role, SupervisionLevel
from practice.law.models import JurisdictionLimit
from practice.policy.models import PracticeSetting
from sessions.catalogue.models import Stretch
from sessions.catalogue.selectors import catalogue
from tests.builders import Api, Built, build_practice, ok
from tests.sessions.people import healed_mastectomy, open_client, reviewed, tell

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def owner(built: Built) -> Api:
    return built.api(Role.OWNER)


def asked(
    built: Built,
    client_id: UUID,
    known_at: Any = None,
    credential: Credential = Credential.PHYSICAL_THERAPIST,
) -> Any:
    query = {
        "practitioner_id": str(built.practitioners[credential].pk),
        "facility_id": str(built.east.pk),
    }
    if known_at is not None:
        query["known_at"] = known_at.isoformat()
    return ok(
        built.api(Role.OWNER).get(f"clients/{client_id}/permissions", query | {"form": "long"})
    )


def codes(reasons: Any) -> set[str]:
    return {one["code"] for one in reasons}


def test_the_catalogue_is_the_one_of_then(built: Built, owner: Api) -> None:
    client, before = open_client(built), clock.now()
    earlier = asked(built, client)
    version = Stretch.objects.get(code="triceps").version
    ok(owner.patch("stretch-catalogue/triceps", {"is_active": False}, match=version))

    def stretches(shown: Any) -> set[str]:
        return {one["stretch"] for one in shown["stretch_permissions"]}

    assert "triceps" not in stretches(asked(built, client))
    then = asked(built, client, before)
    assert "triceps" in stretches(then)
    assert then["versions"]["catalogue"] == earlier["versions"]["catalogue"]
    assert "triceps" not in {one.code for one in catalogue().specs}


def test_the_age_of_consent_is_the_one_of_then(built: Built, owner: Api) -> None:
    client = open_client(built)
    today = clock.now().date()
    path = f"clients/{client}"
    born = date(today.year - 16, 1, 1).isoformat()
    ok(built.api(Role.FRONT_DESK).patch(path, {"birth_date": born}))
    row = {
        "jurisdiction": built.east.jurisdiction,
        "years": 14,
        "effective_from": "2020-01-01",
        "source": "made up for tests",
        "verified_on": "2026-02-01",
    }
    before = clock.now()
    assert "consent.minor" in codes(asked(built, client)["reasons"])
    made = ok(owner.post("consent-ages", row), 201)
    between = clock.now()
    assert "consent.minor" not in codes(asked(built, client)["reasons"])
    ok(owner.patch(f"consent-ages/{made['id']}", {"years": 17}, match=1))
    assert "consent.minor" in codes(asked(built, client)["reasons"])
    assert "consent.minor" in codes(asked(built, client, before)["reasons"])
    assert "consent.minor" not in codes(asked(built, client, between)["reasons"])


def test_a_supervisor_works_there_by_the_hours_of_then(built: Built, owner: Api) -> None:
    marco = Credential.MASSAGE_THERAPIST
    JurisdictionLimit.objects.filter(jurisdiction="US-PA", credential=marco).update(
        allowance=Allowance.UNDER_SUPERVISION, supervision=SupervisionLevel.DIRECT
    )
    client, paula = open_client(built), built.practitioners[Credential.PHYSICAL_THERAPIST]
    today = clock.now().astimezone(ZoneInfo(built.east.zone)).date()
    named = {
        "supervisor_id": str(paula.pk),
        "supervised_id": str(built.practitioners[marco].pk),
        "facility_id": str(built.east.pk),
        "day": today.isoformat(),
    }
    ok(owner.post("supervisions", named), 201)
    before = clock.now()
    assert "law.supervision" not in codes(asked(built, client, credential=marco)["reasons"])

    def hours(place: UUID) -> list[dict[str, Any]]:
        span = {"facility_id": str(place), "starts": "08:00", "ends": "18:00"}
        return [{**span, "weekday": day} for day in range(1, 8)]

    moved = {"working_hours": hours(built.west.pk)}
    ok(owner.patch(f"practitioners/{paula.pk}", moved, match=paula.revision))
    assert "law.supervision" in codes(asked(built, client, credential=marco)["reasons"])
    then = asked(built, client, before, credential=marco)
    assert "law.supervision" not in codes(then["reasons"])


def test_what_cannot_be_reconstructed_is_said(built: Built) -> None:
    client = open_client(built)
    assert "known_at.rules" not in codes(asked(built, client)["warnings"])
    (said,) = [
        one
        for one in asked(built, client, clock.now())["warnings"]
        if one["code"] == "known_at.rules"
    ]
    assert "the program of today" in said["text"]


def test_a_limb_is_watched_by_the_thresholds_of_then(built: Built, owner: Api) -> None:
    client = open_client(built)
    tell(built, client, reviewed(operations=(healed_mastectomy(40),)))
    even = [16.0, 18.0, 21.0, 24.0, 26.0, 28.0]
    thicker = [*even[:3], even[3] + 1.9, *even[4:]]
    body = {"interval_cm": 4, "left": even, "right": thicker}
    ok(built.api(Role.PRACTITIONER).post(f"clients/{client}/circumferences", body), 201)

    def watched(known_at: Any = None) -> bool:
        shown = asked(built, client, known_at)["stretch_permissions"]
        return "swelling.watched" in {one["code"] for row in shown for one in row["cautions"]}

    before = clock.now()
    assert not watched()
    row = PracticeSetting.objects.get(group="swelling", key="refer_cm")
    change = {"value": 1.5, "citation": "practice policy"}
    ok(owner.patch(f"settings/{row.pk}", change, match=row.revision))
    assert watched()
    assert not watched(before)
