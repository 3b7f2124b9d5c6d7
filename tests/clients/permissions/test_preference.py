"""Whom the client prefers, and the exceptions made from it."""

from __future__ import annotations

from datetime import date
from uuid import UUID

import msgspec
import pytest

from clients.preference.domain.state import PreferenceException, ProviderPreference
from clients.preference.domain.terms import PreferenceScope
from practice.core.terms import Mode
from tests.clients.permissions import given as g
from tests.clients.permissions.examples import OTHER

replace = msgspec.structs.replace


def preference(scope: PreferenceScope, **who: object) -> ProviderPreference:
    return msgspec.convert({"scope": scope, **who}, ProviderPreference)


def test_against_a_preference_for_all_work_it_may_not_be_booked() -> None:
    known = g.facts(preference=preference(PreferenceScope.ALL_WORK, gender="man"))
    permissions = g.evaluated(known)
    assert permissions.mode is Mode.NOT_TODAY
    assert [r.code for r in permissions.refusals] == ["preference.all_work"]


def test_against_a_preference_for_hands_on_only_others_work_self_directed() -> None:
    known = g.facts(preference=preference(PreferenceScope.HANDS_ON_ONLY, practitioner_ids=(OTHER,)))
    permissions = g.evaluated(known)
    assert permissions.mode is Mode.SELF_DIRECTED
    assert not permissions.refusals
    assert "preference.hands_on" in g.codes(permissions)


def test_a_preference_met_narrows_nothing_and_an_unstated_gender_meets_none() -> None:
    woman = preference(PreferenceScope.ALL_WORK, gender="woman")
    assert g.evaluated(g.facts(preference=woman), g.FLEXION).mode is Mode.HANDS_ON
    unstated = replace(g.THERAPIST, gender=None)
    assert g.evaluated(g.facts(preference=woman, practitioner=unstated)).refusals


@pytest.mark.parametrize(
    ("exception", "holds"),
    [
        ({"session_id": UUID(int=5)}, True),
        ({"session_id": UUID(int=6)}, False),
        ({"on": g.DAY}, True),
        ({"on": date(2026, 3, 3)}, False),
        ({"until": g.DAY}, True),
        ({"until": date(2026, 3, 1)}, False),
        ({}, False),
    ],
)
def test_an_exception_counts_for_its_session_or_until_its_day(
    exception: dict[str, object], holds: bool
) -> None:
    made = replace(
        PreferenceException(practitioner_id=g.PERSON, exception_id=UUID(int=8)), **exception
    )  # type: ignore[arg-type]
    known = g.facts(
        preference=preference(PreferenceScope.ALL_WORK, gender="man"),
        exceptions=(made,),
        session_id=UUID(int=5),
    )
    permissions = g.evaluated(known)
    assert (not permissions.refusals) is holds
    assert permissions.exception_id == (UUID(int=8) if holds else None)
    elsewhere = replace(made, practitioner_id=OTHER)
    assert g.evaluated(
        replace(known, client=replace(known.client, exceptions=(elsewhere,)))
    ).refusals
