"""Tasks 38 to 40: somebody is ill, a place is closed, time is held."""

from __future__ import annotations

from typing import Any

from tests.monday.consent_and_papers import place
from tests.monday.desk import Desk, Tasks
from tests.monday.house import TODAY, TOMORROW, TUESDAY, House

TASKS = Tasks()
PHONE = "+12155550134"


def named(desk: Desk, name: str) -> dict[str, Any]:
    """A practitioner by name."""
    rows = desk.get("practitioners")["results"]
    return dict(next(one for one in rows if one["name"] == name))


@TASKS.of(38, "a practitioner is ill: that day's clients with phones and stand-ins")
def ill(desk: Desk, house: House) -> Any:
    for hour, name in ((11, "Lindqvist"), (13, "Meyer")):
        house.booked(house.client("Mara", name), f"{TODAY}T{hour}:00:00-04:00")
    absence = {"practitioner_id": named(desk, "Paula")["id"], "first_day": TODAY, "kind": "ill"}
    answer = desk.post("absences", absence, status=201)
    met = answer["sessions"]["first"]
    assert [(one["client_name"], one["client_phone"]) for one in met] == [
        ("Mara Lindqvist", PHONE),
        ("Mara Meyer", PHONE),
    ]
    assert all("Olga" in {who["practitioner_name"] for who in one["stand_ins"]} for one in met)
    return answer


@TASKS.of(38, "the same, moved in one act", follows="ill")
def stood_in_for(desk: Desk, house: House) -> Any:
    met = desk.screen["sessions"]["first"]
    moves = [
        {
            "session_id": one["session_id"],
            "practitioner_id": one["stand_ins"][0]["practitioner_id"],
        }
        for one in met
    ]
    path = f"absences/{desk.screen['id']}/moves"
    answer = desk.post(path, {"moves": moves, "reason": "The practitioner is ill."})
    assert (answer["moved"], answer["refused"], answer["still_without"]) == (2, 0, 0)
    return answer


@TASKS.of(39, "a facility is closed for snow: whom it meets, with phones")
def snow(desk: Desk, house: House) -> Any:
    house.booked(house.client("Mara", "Lindqvist"), f"{TOMORROW}T10:00:00-04:00")
    closed = {"facility_id": place(desk, "East"), "first_day": TOMORROW, "reason": "Snow."}
    answer = desk.post("closures", closed, status=201)
    (met,) = answer["sessions"]["first"]
    assert (met["client_name"], met["client_phone"]) == ("Mara Lindqvist", PHONE)
    return answer


@TASKS.of(39, "the same, moved in one act", follows="snow")
def moved_for_snow(desk: Desk, house: House) -> Any:
    (met,) = desk.screen["sessions"]["first"]
    to_tuesday = {"session_id": met["session_id"], "starts_at": {"local": f"{TUESDAY}T10:00"}}
    path = f"closures/{desk.screen['id']}/moves"
    answer = desk.post(path, {"moves": [to_tuesday], "reason": "Snow."})
    assert (answer["moved"], answer["still_without"]) == (1, 0)
    return answer


@TASKS.of(40, "hold a slot for evaluations")
def held(desk: Desk, house: House) -> Any:
    olga = named(desk, "Olga")
    slot = {
        "practitioner_id": olga["id"],
        "facility_id": olga["facilities"][0],
        "weekday": 2,
        "starts": "10:00",
        "ends": "12:00",
    }
    answer = desk.post("held-slots", slot, status=201)
    assert answer["weekday"] == slot["weekday"]
    return answer


@TASKS.of(40, "book a new client into it", follows="held")
def into_held(desk: Desk, house: House) -> Any:
    new = {"given_name": "Mara", "family_name": "Lindqvist", "birth_date": "1971-04-23"}
    session = {
        "client_id": desk.post("clients", new, status=201)["id"],
        "practitioner_id": desk.screen["practitioner_id"],
        "facility_id": desk.screen["facility_id"],
        "starts_at": {"local": f"{TUESDAY}T10:00"},
        "minutes": 60,
        "purpose": "evaluation",
    }
    answer = desk.post("sessions", session, status=201)
    assert (answer["status"], answer["practitioner_name"]) == ("booked", "Olga")
    return answer
