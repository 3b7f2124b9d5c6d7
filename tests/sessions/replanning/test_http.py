"""All sessions that a slip narrowed are planned anew in one act, once it is put right."""

from __future__ import annotations

from typing import Any
from uuid import UUID, uuid4

import pytest

from clients.consent.domain.events import ConsentWithdrawn
from clients.preference.domain.terms import PreferenceScope
from practice.accesslog.models import AccessEntry
from practice.core.terms import Credential, Gender, Role
from sessions.calendar.domain.session_state import SessionState
from sessions.calendar.domain.state import CALENDAR
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import book, local, took_place
from tests.sessions.groups.http import made, placed
from tests.sessions.people import consent, doing, open_client, prefers, tell
from tests.sessions.replanning.http import by_id, calls, licence, paula, replan, row

pytestmark = pytest.mark.django_db
STOOD = ("flagged", "mode", "planned_mode", "hands_on", "widest_mode", "widest_hands_on")


@pytest.fixture
def built() -> Built:
    return build_practice()


def stands(session: Any) -> dict[str, Any]:
    found = row(session)
    return {name: getattr(found, name) for name in STOOD}


def state(built: Built, client: UUID, session: Any) -> SessionState:
    found: SessionState = doing(
        built, lambda uow: uow.states(client, (CALENDAR,))[CALENDAR].session(UUID(session["id"]))
    )
    return found


def test_a_licence_put_right_and_all_its_sessions_are_as_they_were_planned(built: Built) -> None:
    clients = [open_client(built), open_client(built)]
    sessions = [book(built, one, local(day)) for one, day in zip(clients, (3, 4), strict=True)]
    alone = book(built, clients[0], local(5), requested_mode="self_directed")
    before = [stands(one) for one in (*sessions, alone)]
    licence(built, expires_on=local(1)[:10])
    assert [row(one).mode for one in sessions] == ["self_directed"] * 2
    licence(built, expires_on=local(400)[:10])
    assert all(row(one).flagged for one in sessions), "nothing widens by itself"
    shown = replan(built, practitioner_id=paula(built))
    assert [shown[name] for name in ("as_planned", "wider", "stays", "left")] == [2, 0, 0, 0]
    assert shown["text"].startswith("Of 2 sessions 2 are as they were planned at first")
    for one in shown["sessions"]:
        assert (one["result"], one["flagged"]) == ("as_planned", False)
        assert (one["mode_before"], one["mode"]) == ("self_directed", "hands_on")
        assert (one["hands_on_before"], one["hands_on"]) == ("nothing", "all")
        assert one["reasons"] == []
    assert [stands(one) for one in (*sessions, alone)] == before
    assert [calls(built, one) for one in clients] == [[], []]
    assert state(built, clients[0], sessions[0]).flag is None
    again = replan(built, practitioner_id=paula(built))
    assert again["sessions"] == []
    assert again["text"] == "No session to come is narrowed there: nothing was changed."


def test_each_is_one_event_with_the_reason_on_its_own_record(built: Built) -> None:
    client = open_client(built)
    session = book(built, client, local(3))
    licence(built, expires_on=local(1)[:10])
    licence(built, expires_on=local(400)[:10])
    version = row(session).version
    replan(built, client_id=str(client), reason="The licence was typed wrong.")
    shown = ok(built.api(Role.OWNER).get(f"clients/{client}/history"))
    texts = [one["text"] for one in shown["results"] if "typed wrong" in one["text"]]
    assert len(texts) == 1
    assert "moved or planned anew" in texts[0]
    assert row(session).version > version


def test_a_preview_says_the_same_and_changes_nothing(built: Built) -> None:
    client = open_client(built)
    session = book(built, client, local(3))
    tell(built, client, ConsentWithdrawn(consent_id=None, reason="Not any more."))
    tell(built, client, consent())
    before = (stands(session), row(session).version)
    shown = replan(built, client_id=str(client), preview=True)
    assert (shown["preview"], shown["as_planned"]) == (True, 1)
    assert shown["text"].endswith("This is a preview: nothing was changed.")
    assert (stands(session), row(session).version) == before
    done = replan(built, client_id=str(client))
    assert done["sessions"] == shown["sessions"]
    assert not row(session).flagged


def test_what_still_stands_against_it_stays_and_says_why(built: Built) -> None:
    client = open_client(built)
    session = book(built, client, local(3))
    licence(built, expires_on=local(1)[:10])
    tell(built, client, ConsentWithdrawn(consent_id=None, reason="Not any more."))
    licence(built, expires_on=local(400)[:10])
    before = (stands(session), row(session).version)
    shown = replan(built, client_id=str(client))
    assert shown["text"] == "None of the 1 may be wider than it is: nothing was changed."
    (one,) = shown["sessions"]
    assert (one["result"], one["flagged"]) == ("stays", True)
    assert {reason["code"] for reason in one["reasons"]} == {"consent.withdrawn"}
    assert (stands(session), row(session).version) == before
    tell(built, client, consent())
    assert replan(built, client_id=str(client))["as_planned"] == 1
    assert row(session).mode == "hands_on", "what it was planned as at first is not lost"


def test_what_widens_in_part_stays_flagged_for_the_rest_and_is_whole_later(built: Built) -> None:
    client = open_client(built)
    marco = str(built.practitioners[Credential.MASSAGE_THERAPIST].pk)
    session = book(built, client, local(3), practitioner_id=marco)
    tell(built, client, prefers(Gender.WOMAN))
    assert row(session).mode == "not_today"
    tell(built, client, prefers(Gender.WOMAN, PreferenceScope.HANDS_ON_ONLY))
    shown = replan(built, client_id=str(client))
    (one,) = shown["sessions"]
    assert (one["result"], one["flagged"], one["mode"]) == ("wider", True, "self_directed")
    assert {reason["code"] for reason in one["reasons"]} == {"preference.hands_on"}
    found = row(session)
    assert (found.flagged, found.mode) == (True, "self_directed")
    assert {reason["code"] for reason in found.flag_reasons} == {"preference.hands_on"}
    assert "nothing hands-on now" in calls(built, client)[0]
    again = (found.version, replan(built, client_id=str(client))["stays"])
    assert again == (row(session).version, 1)
    tell(built, client, prefers(Gender.MAN))
    assert replan(built, client_id=str(client))["as_planned"] == 1
    assert (row(session).mode, row(session).hands_on) == ("hands_on", "all")


def test_a_preference_that_still_bars_refuses_and_the_others_are_planned(built: Built) -> None:
    client, other = open_client(built), open_client(built)
    marco = str(built.practitioners[Credential.MASSAGE_THERAPIST].pk)
    barred = book(built, client, local(3), practitioner_id=marco)
    free = book(built, other, local(4), practitioner_id=marco)
    tell(built, client, prefers(Gender.WOMAN))
    tell(built, other, prefers(Gender.WOMAN))
    tell(built, other, prefers(Gender.MAN))
    found = by_id(replan(built, practitioner_id=marco))
    assert found[barred["id"]]["result"] == "stays"
    assert found[free["id"]]["result"] == "as_planned"
    assert row(barred).flagged


def test_only_what_is_chosen_is_planned(built: Built) -> None:
    client = open_client(built)
    first, second = book(built, client, local(3)), book(built, client, local(10))
    tell(built, client, ConsentWithdrawn(consent_id=None, reason="Not any more."))
    tell(built, client, consent())
    day = second["local_date"]
    for nobody in (
        {"client_id": str(open_client(built))},
        {"facility_id": str(built.west.pk)},
        {"client_id": str(client), "from": local(11)[:10]},
        {"client_id": str(client), "to": local(2)[:10]},
        {"client_id": str(client), "practitioner_id": str(uuid4())},
    ):
        assert replan(built, **nobody)["sessions"] == []
    shown = replan(built, facility_id=str(built.east.pk), **{"from": day, "to": day})
    assert [one["session_id"] for one in shown["sessions"]] == [second["id"]]
    assert row(first).flagged


def test_many_are_planned_in_pages_that_each_say_how_many_are_left(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sessions.replanning.services.MOST_AT_ONCE", 2)
    client = open_client(built)
    sessions = [book(built, client, local(day)) for day in (3, 4, 5)]
    tell(built, client, ConsentWithdrawn(consent_id=None, reason="Not any more."))
    shown = replan(built, client_id=str(client))
    assert (shown["stays"], shown["left"], shown["after"]) == (2, 1, sessions[1]["id"])
    assert shown["text"].endswith("1 more are left.")
    rest = replan(built, client_id=str(client), after=shown["after"])
    assert [one["session_id"] for one in rest["sessions"]] == [sessions[2]["id"]]
    assert (rest["left"], rest["after"]) == (0, None)


def test_what_the_day_said_is_never_planned_away(built: Built) -> None:
    client = open_client(built)
    later = book(built, client, local(2))
    tell(built, client, ConsentWithdrawn(consent_id=None, reason="Not any more."))
    tell(built, client, consent())
    took_place(built, client, new_symptoms=["chest_pain"])
    assert state(built, client, later).day_flag is not None
    (one,) = replan(built, client_id=str(client))["sessions"]
    assert (one["session_id"], one["result"]) == (later["id"], "stays")
    assert one["refusal"]["code"] == "answers_of_the_day"
    assert state(built, client, later).day_flag is not None


def test_a_place_in_a_class_is_planned_anew_where_it_is(built: Built) -> None:
    client = open_client(built)
    group = made(built)
    place = placed(built, group["id"], client)["session"]
    tell(built, client, prefers(Gender.MAN))
    assert row(place).flagged
    tell(built, client, prefers(Gender.WOMAN))
    (one,) = replan(built, client_id=str(client))["sessions"]
    assert (one["result"], one["mode"]) == ("as_planned", "self_directed")
    found = row(place)
    assert (found.flagged, str(found.class_id), found.class_changed_at) == (
        False,
        group["id"],
        None,
    )
    sent = {"requested_mode": "hands_on", "reason": "All by hand."}
    refusal = built.api(Role.FRONT_DESK).post(f"sessions/{place['id']}/move", sent)
    refused(refusal, 409, "class_is_self_directed")
    sent = {"starts_at": local(9), "reason": "Another day."}
    refusal = built.api(Role.FRONT_DESK).post(f"sessions/{place['id']}/move", sent)
    refused(refusal, 409, "place_in_a_class")


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({}, "client_id"),
        ({"client_id": str(uuid4()), "from": "2026-03-10", "to": "2026-03-09"}, "to"),
        ({"client_id": str(uuid4()), "reason": " "}, "reason"),
    ],
)
def test_what_cannot_be_meant_is_refused(built: Built, sent: dict[str, Any], field: str) -> None:
    body = {"reason": "Put right.", **sent}
    answer = built.api(Role.FRONT_DESK).post("session-replans", body)
    assert answer.status_code == 400
    assert [one["field"] for one in answer.json()["errors"]] == [field]


def test_others_places_are_not_reached_and_everyone_named_counts_as_read(built: Built) -> None:
    client = open_client(built)
    book(built, client, local(3))
    tell(built, client, ConsentWithdrawn(consent_id=None, reason="Not any more."))
    built.staff[Role.FRONT_DESK].facilities.set([built.west])
    assert replan(built, client_id=str(client))["sessions"] == []
    built.staff[Role.FRONT_DESK].facilities.set([built.east])
    before = AccessEntry.objects.filter(client_id=client).count()
    replan(built, client_id=str(client))
    assert AccessEntry.objects.filter(client_id=client).count() == before + 1
