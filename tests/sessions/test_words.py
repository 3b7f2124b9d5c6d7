"""Names and help texts that were misread once say what they mean."""

from __future__ import annotations

from typing import Any

import pytest

from clients.health.domain.terms import ClearanceNeed
from practice.core.terms import Credential, Role
from sessions.booking.serializers.arrival import ArrivalAnswersInputSerializer
from sessions.notes.serializers.notes import DraftOutputSerializer
from sessions.stretches.domain.prescription_state import RecheckStatus
from sessions.stretches.serializers.rechecks import RecheckOutputSerializer
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import book, local
from tests.sessions.people import open_client, reviewed, tell

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def helped(form: Any, field: str) -> str:
    return str(form().fields[field].help_text)


def test_pain_on_arrival_is_pain_at_rest() -> None:
    assert helped(ArrivalAnswersInputSerializer, "pain_now").startswith("Pain at rest now, 0-10")


def test_every_status_of_a_re_check_is_explained() -> None:
    told = helped(RecheckOutputSerializer, "status")
    assert all(f"`{one.value}`:" in told for one in RecheckStatus)
    assert "call list" in told
    assert "session" in helped(RecheckOutputSerializer, "covered_by_session_id")
    assert "later reading" in helped(RecheckOutputSerializer, "passed")


def test_what_a_late_save_did_not_write_is_explained() -> None:
    assert "newer save of this device" in helped(DraftOutputSerializer, "overtaken")
    assert "same words" in helped(DraftOutputSerializer, "repeated")


def test_a_late_entry_is_called_so(built: Built) -> None:
    session = book(built, open_client(built), local(3))
    assert session["late_entry"] is False
    assert "late" not in session


def test_clearance_for_load_is_named_for_what_it_is_and_kept_from_the_desk(built: Built) -> None:
    client_id = open_client(built)
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    asked = {"practitioner_id": str(paula.pk), "facility_id": str(built.east.pk)}
    path = f"clients/{client_id}/permissions"
    clinical = ok(built.api(Role.PRACTITIONER).get(path, asked))
    assert (clinical["loading_cleared"], clinical["clearance_reasons"]) == (True, [])
    assert "loading" not in clinical
    tell(built, client_id, reviewed(clearance_need=ClearanceNeed.NEEDED))
    missing = ok(built.api(Role.PRACTITIONER).get(path, asked))
    assert missing["loading_cleared"] is False
    assert missing["clearance_reasons"]
    desk = ok(built.api(Role.FRONT_DESK).get(path, asked))
    assert (desk["loading_cleared"], desk["clearance_reasons"]) == (None, [])
