"""Tasks 41 to 45: the day."""

from __future__ import annotations

from typing import Any

from tests.monday.consent_and_papers import place
from tests.monday.desk import Desk, Tasks
from tests.monday.house import TODAY, TOMORROW, House
from tests.monday.registering import found

TASKS = Tasks()


def a_day(house: House) -> None:
    """Three clients at three hours, one of them arrived."""
    for hour, name in ((11, "Lindqvist"), (13, "Meyer"), (15, "Okoro")):
        client = house.client("Mara", name)
        session = house.booked(client, f"{TODAY}T{hour}:00:00-04:00", room_id=None)["id"]
        if hour == 11:
            house.arrived(session)


@TASKS.of(41, "day sheet of today")
def day_sheet(desk: Desk, house: House) -> Any:
    a_day(house)
    answer = desk.get("day-sheet", {"facility_id": place(desk, "East")})
    rows = [(one["at"], one["client"], one["phone"]) for one in answer["sessions"]]
    phone = "+12155550134"
    assert rows == [
        ("11:00", "Mara Lindqvist", phone),
        ("13:00", "Mara Meyer", phone),
        ("15:00", "Mara Okoro", phone),
    ]
    assert answer["headline"]
    assert {answer["people"][one["with"]] for one in answer["sessions"]} == {"Paula"}
    return answer


@TASKS.of(42, "the same to print against an outage")
def printed(desk: Desk, house: House) -> Any:
    a_day(house)
    answer = desk.get("day-sheet/printout", {"facility_id": place(desk, "East")})
    assert all(name in answer for name in ("Lindqvist", "Meyer", "Okoro", "+12155550134"))
    return answer


def called(desk: Desk, house: House, **said: Any) -> Any:
    """Whoever is first on the call list, called."""
    client = house.client("Mara", "Lindqvist")
    house.booked(client, f"{TOMORROW}T10:00:00-04:00")
    house.withdrawn(client)
    (row,) = desk.get("call-list")["results"]
    assert (row["client_name"], row["client_phone"]) == ("Mara Lindqvist", "+12155550134")
    assert row["text"].endswith("nothing hands-on now.")
    answer = desk.post(f"clients/{row['client_id']}/calls", said, status=201)
    assert answer["outcome"] == said["outcome"]
    assert [one["id"] for one in answer["about"]] == [row["about_id"]]
    return answer


@TASKS.of(43, "call list: called, left a message")
def left_message(desk: Desk, house: House) -> Any:
    return called(desk, house, outcome="left_message", note="Asked to call back.")


@TASKS.of(43, "the same, call again at")
def call_again(desk: Desk, house: House) -> Any:
    return called(desk, house, outcome="call_again", again_at=f"{TODAY}T16:00:00-04:00")


@TASKS.of(44, "a client on the phone: everything at a glance")
def at_a_glance(desk: Desk, house: House) -> Any:
    client = house.client("Mara", "Lindqvist")
    house.booked(client, f"{TOMORROW}T10:00:00-04:00")
    answer = desk.get(f"clients/{found(desk, 'Lindqvist')['id']}/at-a-glance")
    assert answer["contact"]["phone"] == "+12155550134"
    assert answer["consent"]["stands"]
    (visit,) = answer["next_visits"]
    assert (visit["practitioner_name"], visit["facility_name"]) == ("Paula", "East")
    return answer


@TASKS.of(45, "a client asks what is on record", follows="at_a_glance")
def on_record(desk: Desk, house: House) -> Any:
    house.desk_gives_records()
    path = f"clients/{desk.screen['client_id']}/record-requests"
    given = desk.post(path, {"asked_by": "client"}, status=201)
    answer = desk.get(given["printout"])
    assert "Mara Lindqvist" in answer
    return answer
