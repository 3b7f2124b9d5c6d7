"""Starter ages of medical consent (ruling 56): offered with their source, verified by nobody."""

from __future__ import annotations

import pytest

from clients.consent.domain.age import counted_age
from practice.core.terms import Role
from practice.law.fixtures import starter_consent_ages
from practice.people_and_places.models.facilities import Facility
from tests.builders import Built, build_practice, ok, refused


@pytest.fixture
def built(db: None) -> Built:
    return build_practice()


@pytest.mark.parametrize(
    ("jurisdiction", "years"),
    # Alabama 14, Mississippi 18 for health care (read in copies of the statutes).
    [("US-AL", 14), ("US-MS", 18)],
)
def test_a_starter_age_is_taken_over_unverified(
    built: Built, jurisdiction: str, years: int
) -> None:
    """Ruling 56."""
    Facility.objects.filter(pk=built.west.pk).update(jurisdiction=jurisdiction)
    owner, path = built.api(Role.OWNER), f"facilities/{built.west.pk}/starter-consent-ages"
    (row,) = ok(owner.post(path), 201)
    assert (row["years"], row["verified_on"]) == (years, None)
    assert "Verify with your board" in row["source"]
    assert [one["code"] for one in row["warnings"]] == ["law.not_verified"]
    refused(owner.post(path), 409, "consent_age_on_record")
    asked = ok(owner.patch(f"consent-ages/{row['id']}", {"verified_on": "2026-03-02"}, match=1))
    assert (asked["verified_on"], asked["warnings"]) == ("2026-03-02", [])


def test_where_no_row_is_offered_the_setting_counts(built: Built) -> None:
    path = f"facilities/{built.east.pk}/starter-consent-ages"
    told = refused(built.api(Role.OWNER).post(path), 409, "no_starter_consent_age")
    assert "consent_age_years" in told["detail"]
    assert starter_consent_ages("US-PA") == []


@pytest.mark.parametrize(
    ("years", "verified", "counted"), [(14, True, 14), (14, False, 18), (21, False, 21)]
)
def test_a_row_that_nobody_verified_lowers_no_age(years: int, verified: bool, counted: int) -> None:
    """Ruling 56."""
    assert counted_age(years, 18, verified=verified) == counted
