"""Each flag ends by its own end: that of the day's answers, of the place, of the client's facts."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest

from clients.consent.domain.events import ConsentWithdrawn
from practice.core.terms import Role
from sessions.calendar.models import Session
from tests.builders import Built, build_practice, ok
from tests.sessions.assessment.test_fallen_away import FLAGS, east
from tests.sessions.booking.http import WELL, book, local, took_place
from tests.sessions.people import consent, open_client, tell
from tests.sessions.replanning.http import calls, replan, row

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Built:
    return build_practice()


def stands(session: Any) -> dict[str, Any]:
    found = row(session)
    return {name: getattr(found, name) for name in (*FLAGS, "flag_reasons", "narrowed", "closed")}


def codes(session: Any) -> set[str]:
    return {one["code"] for one in row(session).flag_reasons}


def said(built: Built, client: UUID) -> dict[str, Any]:
    """Yesterday the client had chest pain: it stands until it is cleared."""
    return took_place(built, client, new_symptoms=["chest_pain"])


def clear(built: Built, session: dict[str, Any]) -> None:
    sent = {"red_flag": "chest_pain", "found": "Seen by the physician: a strained muscle."}
    ok(built.api(Role.PRACTITIONER).post(f"sessions/{session['id']}/red-flag-clearance", sent))


def test_a_place_that_opens_again_leaves_the_red_flag_alone(built: Built) -> None:
    client = open_client(built)
    session = book(built, client, local(3))
    before = stands(session)
    sick = said(built, client)
    of_day = codes(session)
    assert row(session).mode == "not_today"
    assert "facility.closed" not in of_day
    east(built, is_active=False)
    assert codes(session) == {*of_day, "facility.closed"}
    assert "is closed for good" in calls(built, client)[0]
    east(built, is_active=True)
    assert (row(session).flagged, row(session).mode, codes(session)) == (True, "not_today", of_day)
    assert "narrowed since it was planned" in calls(built, client)[0]
    clear(built, sick)
    assert stands(session) == before


def test_a_red_flag_that_is_cleared_leaves_the_closed_place_alone(built: Built) -> None:
    client = open_client(built)
    session = book(built, client, local(3))
    before = stands(session)
    sick = said(built, client)
    east(built, is_active=False)
    clear(built, sick)
    found = row(session)
    assert (found.flagged, found.mode, found.widest_mode) == (True, "not_today", "not_today")
    assert codes(session) == {"facility.closed"}
    east(built, is_active=True)
    assert stands(session) == before


def test_a_red_flag_over_a_place_that_is_closed_tells_no_more_of_it_once_it_opens(
    built: Built,
) -> None:
    client = open_client(built)
    session = book(built, client, local(3))
    before, sick = stands(session), took_place(built, client)
    east(built, is_active=False)
    answers = {**WELL, "new_symptoms": ["chest_pain"]}
    ok(built.api(Role.PRACTITIONER).post(f"sessions/{sick['id']}/arrival", answers))
    assert "facility.closed" in codes(session)
    assert len(codes(session)) > 1
    east(built, is_active=True)
    found = row(session)
    assert (found.flagged, found.mode) == (True, "not_today")
    assert "facility.closed" not in codes(session)
    clear(built, sick)
    assert stands(session) == before


def test_the_clients_own_flag_outlives_the_place_and_is_planned_anew(built: Built) -> None:
    client = open_client(built)
    session = book(built, client, local(3))
    east(built, is_active=False)
    tell(built, client, ConsentWithdrawn(consent_id=None, reason="Not any more."))
    east(built, is_active=True)
    assert codes(session) == {"consent.withdrawn"}
    tell(built, client, consent())
    assert replan(built, client_id=str(client))["as_planned"] == 1
    assert (row(session).flagged, row(session).mode) == (False, "hands_on")


def test_what_narrows_meanwhile_stays_when_the_red_flag_is_cleared(built: Built) -> None:
    client = open_client(built)
    session = book(built, client, local(3))
    sick = said(built, client)
    tell(built, client, ConsentWithdrawn(consent_id=None, reason="Not any more."))
    assert "consent.withdrawn" in codes(session)
    clear(built, sick)
    found = row(session)
    assert (found.flagged, found.mode) == (True, "self_directed")
    assert codes(session) == {"consent.withdrawn"}


def test_a_red_flag_goes_along_with_a_session_that_is_moved(built: Built) -> None:
    client = open_client(built)
    session = book(built, client, local(3))
    sick = said(built, client)
    of_day = codes(session)
    sent = {"starts_at": local(4), "reason": "Asked."}
    moved = ok(built.api(Role.FRONT_DESK).post(f"sessions/{session['id']}/move", sent))
    assert (moved["flagged"], moved["mode"]) == (True, "not_today")
    assert codes(session) == of_day
    clear(built, sick)
    assert not Session.objects.get(pk=session["id"]).flagged
