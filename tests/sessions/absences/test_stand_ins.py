"""Whom an absence leaves, and who may lawfully take over: asked of what decides a move."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from uuid import UUID

import pytest

from clients.preference.domain.terms import PreferenceScope
from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.terms import Credential, Gender, Role
from practice.people_and_places.models.practitioners import Licence
from practice.policy.models import PracticeSetting
from tests.billing.practice_rows import payer
from tests.builders import Built, ok, practitioner
from tests.sessions.absences.http import (
    DAY,
    TEN,
    absent,
    booked,
    closed,
    marco,
    met,
    names,
    olga,
    paula,
    recorded,
)
from tests.sessions.booking.http import book
from tests.sessions.people import consent, open_client, prefers, registered, reviewed, tell
from tests.sessions.series.http import NOW, held_practice, start

pytestmark = pytest.mark.django_db


@pytest.fixture
def built() -> Iterator[Built]:
    with clock.at(NOW):
        yield held_practice()


def met_by_illness(built: Built, **changes: Any) -> dict[str, Any]:
    """The one session that Paula's absence meets."""
    (only,) = recorded(built, **changes)["sessions"]["first"]
    found: dict[str, Any] = only
    return found


def why_not(found: dict[str, Any], name: str) -> list[str]:
    (one,) = [one for one in found["left_out"] if one["practitioner_name"] == name]
    return [reason["code"] for reason in one["reasons"]]


def test_the_answer_names_whom_it_meets_with_phone_time_and_stand_ins(built: Built) -> None:
    client = open_client(built)
    session = booked(built, client)
    answer = recorded(built)
    told = answer["sessions"]
    assert (told["still_without"], told["without_stand_in"], told["elsewhere"]) == (1, 0, 0)
    (only,) = told["first"]
    assert (only["session_id"], only["client_name"]) == (session, "Rosa Marsh")
    assert only["starts_at"] == TEN
    assert "client_phone" in only
    assert names(only["stand_ins"]) == ["Marco", "Olga"]
    assert met(built, answer) == [only]


def test_all_of_the_day_stand_in_order_of_time_and_no_other_day(built: Built) -> None:
    later, first = (booked(built, open_client(built), one) for one in ("14:00", "09:00"))
    book(built, open_client(built), start("2026-03-18", "09:00"))
    booked(built, open_client(built), "09:00", practitioner_id=olga(built))
    answer = recorded(built)
    assert [one["session_id"] for one in answer["sessions"]["first"]] == [first, later]


def test_who_is_in_another_session_then_or_not_at_work_stands_in_for_nobody(built: Built) -> None:
    booked(built, open_client(built))
    booked(built, open_client(built), "10:30", practitioner_id=olga(built))
    found = met_by_illness(built)
    assert names(found["stand_ins"]) == ["Marco"]
    assert found["left_out"] == []


def test_who_is_absent_too_stands_in_for_nobody(built: Built) -> None:
    booked(built, open_client(built))
    recorded(built, practitioner_id=marco(built))
    found = met_by_illness(built)
    assert names(found["stand_ins"]) == ["Olga"]
    assert found["left_out"] == []


def test_whom_the_client_does_not_prefer_is_left_out_with_why(built: Built) -> None:
    client = open_client(built)
    booked(built, client)
    tell(built, client, prefers(Gender.WOMAN, PreferenceScope.ALL_WORK))
    found = met_by_illness(built)
    assert names(found["stand_ins"]) == ["Olga"]
    assert why_not(found, "Marco")


def test_whom_the_consent_does_not_name_is_left_out(built: Built) -> None:
    client = registered(built)
    paula_id = built.practitioners[Credential.PHYSICAL_THERAPIST].pk
    olga_id = built.practitioners[Credential.OCCUPATIONAL_THERAPIST].pk
    tell(built, client, reviewed(), consent(practitioner_ids=(paula_id, olga_id)))
    booked(built, client)
    found = met_by_illness(built)
    assert names(found["stand_ins"]) == ["Olga"]
    assert why_not(found, "Marco")


def test_who_has_no_licence_there_is_left_out(built: Built) -> None:
    booked(built, open_client(built))
    Licence.objects.filter(practitioner_id=olga(built)).delete()
    found = met_by_illness(built)
    assert names(found["stand_ins"]) == ["Marco"]
    assert why_not(found, "Olga")


def authorize(built: Built, client: UUID, **terms: Any) -> None:
    sent = {
        "payer_id": str(payer().pk),
        "number": "PA-1",
        "member_id": "LHP-1",
        "starts_on": "2026-03-01",
        "ends_on": "2026-05-31",
        "visits": 10,
        "units": 40,
        **terms,
    }
    ok(built.api(Role.BILLING).post(f"clients/{client}/authorizations", sent), 201)


def test_those_alone_whom_the_payers_authorization_names(built: Built) -> None:
    client = open_client(built)
    authorize(built, client, practitioner_ids=[paula(built), olga(built)])
    booked(built, client)
    found = met_by_illness(built)
    assert names(found["stand_ins"]) == ["Olga"]
    assert len(why_not(found, "Marco")) == 1


def test_an_authorization_that_names_nobody_leaves_out_whom_the_payer_does_not_pay(
    built: Built,
) -> None:
    client = open_client(built)
    authorize(built, client)
    booked(built, client)
    assert why_not(met_by_illness(built), "Marco") == ["credential_not_paid"]


def test_what_nobody_pays_anyway_is_in_nobodys_way(built: Built) -> None:
    """A client who pays for themself has no authorization: it was so with the absent one."""
    payer()
    booked(built, open_client(built))
    assert names(met_by_illness(built)["stand_ins"]) == ["Marco", "Olga"]


def test_a_session_that_nobody_can_take_over_is_counted_in_front(built: Built) -> None:
    client = open_client(built)
    booked(built, client)
    booked(built, open_client(built), "12:00")
    for one in (marco(built), olga(built)):
        booked(built, open_client(built), "10:00", practitioner_id=one)
    told = recorded(built)["sessions"]
    assert (told["still_without"], told["without_stand_in"]) == (2, 1)


def test_at_a_closed_place_nobody_stands_in(built: Built) -> None:
    booked(built, open_client(built))
    booked(built, open_client(built), practitioner_id=olga(built))
    told = closed(built)["sessions"]
    assert (told["still_without"], told["without_stand_in"]) == (2, 2)
    assert all(one["stand_ins"] == one["left_out"] == [] for one in told["first"])


def test_sessions_at_facilities_that_the_caller_does_not_see_are_counted(built: Built) -> None:
    client = open_client(built, built.west)
    _booked_by_owner(built, client, str(built.west.pk), Role.OWNER)
    booked(built, open_client(built))
    answer = recorded(built)
    assert (answer["sessions"]["still_without"], answer["sessions"]["elsewhere"]) == (1, 1)
    everyone = ok(built.api(Role.OWNER).get(f"absences/{answer['id']}"))
    assert everyone["sessions"] == {"still_without": 2, "elsewhere": 0}


def _booked_by_owner(built: Built, client: UUID, facility_id: str, role: Role) -> None:
    from tests.sessions.booking.http import body, key

    sent = body(built, client, start(DAY, "16:00"), facility_id=facility_id)
    ok(built.api(role).post("sessions", sent, key=key()), 201)


def test_a_whole_day_is_that_of_each_facilitys_clock(built: Built) -> None:
    """Eleven in the evening in Los Angeles is the next day in New York."""
    client = open_client(built, built.west)
    _booked_late_in_the_west(built, client)
    monday = recorded(built, first_day="2026-03-16")
    tuesday = recorded(built, first_day=DAY)
    seen = built.api(Role.OWNER)
    assert ok(seen.get(f"absences/{monday['id']}"))["sessions"]["still_without"] == 1
    assert ok(seen.get(f"absences/{tuesday['id']}"))["sessions"]["still_without"] == 0


def _booked_late_in_the_west(built: Built, client: UUID) -> None:
    from tests.sessions.booking.http import body, key

    late = "2026-03-16T23:00:00-07:00"
    sent = body(built, client, late, facility_id=str(built.west.pk), minutes=60)
    ok(built.api(Role.OWNER).post("sessions", sent, key=key()), 201)


@pytest.mark.parametrize(
    ("first", "last", "meets"),
    [
        ("09:00", "10:00", False),
        ("09:00", "10:01", True),
        ("10:59", "12:00", True),
        ("11:00", "12:00", False),
    ],
)
def test_a_part_of_a_day_meets_what_it_touches_by_a_minute(
    built: Built, first: str, last: str, meets: bool
) -> None:
    booked(built, open_client(built))
    span = {"first_day": None, "starts_at": start(DAY, first), "ends_at": start(DAY, last)}
    for answer in (recorded(built, **span), closed(built, **span)):
        assert answer["sessions"]["still_without"] == int(meets)


def test_a_session_over_midnight_is_met_by_either_day(built: Built) -> None:
    booked(built, open_client(built), "23:30")
    counts = [
        recorded(built, first_day=day)["sessions"]["still_without"]
        for day in ("2026-03-16", DAY, "2026-03-18", "2026-03-19")
    ]
    assert counts == [0, 1, 1, 0]


def test_a_session_that_ends_at_midnight_is_not_met_by_the_next_day(built: Built) -> None:
    booked(built, open_client(built), "23:00")
    assert recorded(built, first_day="2026-03-18")["sessions"]["still_without"] == 0


def test_no_more_are_shown_at_once_than_the_practice_says(built: Built) -> None:
    PracticeSetting.objects.filter(group="calendar", key="absence_sessions_shown").update(value=1)
    first, _ = (booked(built, open_client(built), one) for one in ("09:00", "11:00"))
    told = recorded(built)["sessions"]
    assert told["still_without"] == 2
    assert [one["session_id"] for one in told["first"]] == [first]


def test_everyone_who_is_named_counts_as_read(built: Built) -> None:
    client = open_client(built)
    booked(built, client)
    before = AccessEntry.objects.filter(client_id=client).count()
    answer = ok(absent(built), 201)
    assert AccessEntry.objects.filter(client_id=client).count() == before + 1
    met(built, answer)
    assert AccessEntry.objects.filter(client_id=client).count() == before + 2


def test_reasons_are_those_that_the_role_may_read(built: Built) -> None:
    """Why a colleague may not is told to the desk as far as the desk may know (ruling 20)."""
    extra = practitioner("Xenia", Credential.PERSONAL_TRAINER, built.east)
    booked(built, open_client(built))
    found = met_by_illness(built)
    assert extra.name in names(found["left_out"])
    assert why_not(found, "Xenia")
