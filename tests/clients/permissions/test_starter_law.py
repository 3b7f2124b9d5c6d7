"""The starter table of jurisdiction limits, row by row and as the permissions read it."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any
from uuid import UUID

import msgspec
import pytest

from clients.permissions.domain.inputs import (
    FacilityFacts,
    JurisdictionLimitFacts,
    SupervisionFacts,
)
from practice.core.terms import Activity, Allowance, Credential, Mode, SupervisionLevel
from tests.clients.permissions import given as g

replace = msgspec.structs.replace
FILE = Path(__file__).parents[3] / "fixtures" / "jurisdiction_limits.json"
PATHOLOGY = {"treated": True, "none": False, "any": None}


def rows() -> list[dict[str, Any]]:
    return list(json.loads(FILE.read_text(encoding="utf-8"))["rows"])


def limits() -> tuple[JurisdictionLimitFacts, ...]:
    return tuple(
        msgspec.convert(
            {
                **{k: v for k, v in row.items() if not k.startswith("direct_access")},
                "id": UUID(int=number),
                "pathology": PATHOLOGY[row["pathology"]],
                "effective_to": row["effective_to"],
                "direct_access_days": row.get("direct_access_days"),
                "direct_access_visits": row.get("direct_access_visits"),
            },
            JurisdictionLimitFacts,
        )
        for number, row in enumerate(rows(), start=1)
    )


@pytest.mark.parametrize(
    "credential",
    [Credential.PHYSICAL_THERAPIST_ASSISTANT, Credential.OCCUPATIONAL_THERAPY_ASSISTANT],
)
@pytest.mark.parametrize("place", ["US-CA", "US-PA"])
def test_assistants_of_therapists_work_under_supervision(
    credential: Credential, place: str
) -> None:
    # ruling 24
    mine = [row for row in limits() if (row.credential, row.jurisdiction) == (credential, place)]
    assert {row.activity for row in mine} == set(Activity)
    assert {(row.allowance, row.supervision) for row in mine} == {
        (Allowance.UNDER_SUPERVISION, SupervisionLevel.DIRECT)
    }
    licence = replace(g.THERAPIST.licences[0], credential=credential, jurisdiction=place)
    assistant = replace(g.THERAPIST, credential=credential, licences=(licence,))
    known = g.facts(
        practitioner=assistant,
        facility=FacilityFacts(facility_id=g.FACILITY, jurisdiction=place),
        limits=limits(),
    )
    supervisor = replace(
        g.THERAPIST,
        practitioner_id=UUID(int=55),
        licences=(replace(g.THERAPIST.licences[0], jurisdiction=place),),
    )
    named = SupervisionFacts(supervisor=supervisor, works_there_that_day=True, entitled=True)
    assert g.evaluated(known, g.FLEXION).mode is Mode.NOT_TODAY
    assert g.evaluated(replace(known, supervision=named), g.FLEXION).mode is Mode.HANDS_ON


def test_every_row_names_its_source_and_says_to_verify_it_with_the_board() -> None:
    for row in rows():
        assert row["source"].endswith("Verify with your board."), row
        assert "verified_on" not in row  # that is for the practice to say
        assert date.fromisoformat(row["written_on"]) >= date.fromisoformat(row["effective_from"])
        published = "§" in row["source"]
        assert published or row["source"].startswith("Common practice, no source"), row


def test_no_question_has_two_answers() -> None:
    asked = [
        (row["jurisdiction"], row["credential"], row["activity"], row["pathology"])
        for row in rows()
    ]
    assert len(asked) == len(set(asked))


@pytest.mark.parametrize(
    ("place", "credential", "under_treatment", "mode"),
    [
        # Common practice, no source: in US-CA a trainer may not stretch clients by hand.
        ("US-CA", Credential.PERSONAL_TRAINER, True, Mode.SELF_DIRECTED),
        ("US-CA", Credential.PERSONAL_TRAINER, False, Mode.SELF_DIRECTED),
        # 49 Pa. Code section 40.3: unlicensed exercise only where there is no specific pathology.
        ("US-PA", Credential.PERSONAL_TRAINER, True, Mode.NOT_TODAY),
        ("US-PA", Credential.PERSONAL_TRAINER, False, Mode.SELF_DIRECTED),
        ("US-PA", Credential.MASSAGE_THERAPIST, True, Mode.SELF_DIRECTED),
        ("US-PA", Credential.PHYSICAL_THERAPIST, True, Mode.HANDS_ON),
        ("US-CA", Credential.PHYSICAL_THERAPIST, True, Mode.HANDS_ON),
        # Not in the table, so unknown.
        ("US-NY", Credential.PHYSICAL_THERAPIST, True, Mode.SELF_DIRECTED),
    ],
)
def test_the_table_is_read_fail_closed(
    place: str, credential: Credential, under_treatment: bool, mode: Mode
) -> None:
    licence = replace(g.THERAPIST.licences[0], jurisdiction=place, credential=credential)
    known = g.facts(
        reviewed=g.history(pathology_under_treatment=under_treatment),
        practitioner=replace(g.THERAPIST, credential=credential, licences=(licence,)),
        facility=FacilityFacts(facility_id=g.FACILITY, jurisdiction=place),
        limits=limits(),
    )
    assert g.evaluated(known, g.FLEXION).mode is mode
