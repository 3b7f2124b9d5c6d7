"""A session that was moved while it was narrowed keeps what it was planned as at first, and is
planned so again, at its new time, once what narrowed it is put right."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import pytest

from clients.consent.domain.events import ConsentWithdrawn
from clients.preference.domain.terms import PreferenceScope
from practice.audit.rebuild import compare
from practice.core.terms import Credential, Gender, Region, Role
from tests.builders import Built, build_practice, ok
from tests.sessions.booking.http import book, key, local
from tests.sessions.people import ALL_SITES, consent, open_client, prefers, tell
from tests.sessions.replanning.http import calls, replan, row

pytestmark = pytest.mark.django_db
SLIP = ConsentWithdrawn(consent_id=None, reason="On the wrong record.")


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def client(built: Built) -> UUID:
    return open_client(built)


def move(built: Built, session: Any, /, **sent: Any) -> dict[str, Any]:
    body = {"reason": "The client asked for another day.", **sent}
    path = f"sessions/{session['id']}/move"
    found: dict[str, Any] = ok(built.api(Role.FRONT_DESK).post(path, body, key=key()))
    return found


@pytest.mark.parametrize("put_right_first", [True, False])
def test_it_is_as_planned_again_at_the_new_time(
    built: Built, client: UUID, *, put_right_first: bool
) -> None:
    session = book(built, client, local(3))
    assert session["planned_at_first"] is None
    tell(built, client, SLIP)
    if put_right_first:
        tell(built, client, consent())
    moved = move(built, session, starts_at=local(5))
    assert (moved["mode"], moved["planned_at_first"]) == ("self_directed", "hands_on")
    if not put_right_first:
        assert replan(built, client_id=str(client))["stays"] == 1, "it is withdrawn still"
        tell(built, client, consent())
    assert not row(session).flagged, "who moved it had it in hand: nobody is to be called"
    assert calls(built, client) == []
    shown = replan(built, client_id=str(client), preview=True)
    assert shown["as_planned"] == 1
    assert row(session).mode == "self_directed"
    (one,) = replan(built, client_id=str(client))["sessions"]
    assert (one["result"], one["mode_before"], one["mode"]) == (
        "as_planned",
        "self_directed",
        "hands_on",
    )
    found = ok(built.api(Role.FRONT_DESK).get(f"sessions/{session['id']}"))
    assert (found["starts_at"], found["hands_on"], found["flagged"]) == (local(5), "all", False)
    assert found["planned_at_first"] is None
    assert replan(built, client_id=str(client))["sessions"] == []
    assert not compare().differences


def test_it_is_not_lost_by_a_second_move_nor_by_what_narrows_it_again(
    built: Built, client: UUID
) -> None:
    session = book(built, client, local(3))
    tell(built, client, SLIP)
    move(built, session, starts_at=local(5))
    move(built, session, starts_at=local(6))
    tell(built, client, prefers(Gender.MAN))
    assert row(session).mode == "not_today"
    assert row(session).first_mode == "hands_on"
    tell(built, client, prefers(Gender.WOMAN), consent())
    assert replan(built, client_id=str(client))["as_planned"] == 1
    assert (row(session).mode, row(session).hands_on) == ("hands_on", "all")


def test_a_part_that_narrowed_is_not_lost_either(built: Built, client: UUID) -> None:
    session = book(built, client, local(3))
    arms = tuple(one for one in ALL_SITES if one.region is not Region.ARM)
    tell(built, client, consent(sites=arms))
    assert (row(session).mode, row(session).hands_on) == ("hands_on", "part")
    moved = move(built, session, starts_at=local(5))
    assert (moved["hands_on"], moved["planned_at_first"]) == ("part", "hands_on")
    assert replan(built, client_id=str(client))["stays"] == 1
    tell(built, client, consent())
    assert replan(built, client_id=str(client))["as_planned"] == 1
    assert (row(session).hands_on, row(session).first_mode) == ("all", "")


def test_what_widens_in_part_is_flagged_for_the_rest(built: Built, client: UUID) -> None:
    marco = str(built.practitioners[Credential.MASSAGE_THERAPIST].pk)
    session = book(built, client, local(3), practitioner_id=marco)
    tell(built, client, SLIP)
    move(built, session, starts_at=local(5))
    tell(built, client, consent(sites=tuple(s for s in ALL_SITES if s.region is not Region.ARM)))
    (one,) = replan(built, client_id=str(client))["sessions"]
    assert (one["result"], one["hands_on"], one["flagged"]) == ("wider", "part", True)
    assert "consent.region" in {reason["code"] for reason in one["reasons"]}
    tell(built, client, consent())
    assert replan(built, client_id=str(client))["as_planned"] == 1
    assert row(session).hands_on == "all"


def test_who_plans_it_anew_decides_and_nothing_is_kept_beside(built: Built, client: UUID) -> None:
    session = book(built, client, local(3))
    tell(built, client, SLIP)
    move(built, session, starts_at=local(5))
    anew = move(built, session, requested_mode="self_directed", reason="The client wants it so.")
    assert anew["planned_at_first"] is None
    tell(built, client, consent())
    assert replan(built, client_id=str(client))["sessions"] == []
    tell(built, client, prefers(Gender.MAN))
    tell(built, client, prefers(Gender.WOMAN))
    assert replan(built, client_id=str(client))["as_planned"] == 1
    assert row(session).mode == "self_directed", "as it was planned last"


def test_a_move_of_what_never_narrowed_or_from_where_it_may_not_be_held_keeps_nothing(
    built: Built, client: UUID
) -> None:
    plain = book(built, client, local(3))
    assert move(built, plain, starts_at=local(5))["planned_at_first"] is None
    assert replan(built, client_id=str(client))["sessions"] == []
    tell(built, client, prefers(Gender.MAN, PreferenceScope.HANDS_ON_ONLY))
    marco = str(built.practitioners[Credential.MASSAGE_THERAPIST].pk)
    kept = move(built, plain, practitioner_id=marco)
    assert kept["planned_at_first"] == "hands_on", "no move turns it hands-on by itself"
    assert replan(built, client_id=str(client))["as_planned"] == 1
    assert row(plain).first_mode == ""
