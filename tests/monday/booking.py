"""Tasks 23 to 37: booking, moving, calling off, slips undone, the waiting list."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from practice.clock import clock
from tests.monday.desk import Desk, Tasks
from tests.monday.house import MONDAY, TODAY, TOMORROW, TUESDAY, House
from tests.monday.registering import found
from tests.sessions.booking.http import WELL

TASKS = Tasks()
WEEKS = {"from": "2026-03-16", "to": "2026-04-30", "minutes": 60}
TEN = f"{TUESDAY}T10:00:00-04:00"


def of_day(desk: Desk, day: str, **query: str) -> list[dict[str, Any]]:
    """The sessions of a day at the desk's places, with names."""
    rows: list[dict[str, Any]] = desk.get("sessions", {"from": day, "to": day, **query})["results"]
    return rows


@TASKS.of(23, "first open times of a client across facilities")
def open_times(desk: Desk, house: House) -> Any:
    house.client("Mara", "Lindqvist")
    client = found(desk, "Lindqvist")["id"]
    answer = desk.get("open-times", {"client_id": client, **WEEKS})
    assert {one["facility_name"] for one in answer["facilities"]} == {"East", "West"}
    assert len(answer["results"]) > 10
    return answer


@TASKS.of(24, "only Tuesday and Thursday mornings, a woman")
def mornings_with_a_woman(desk: Desk, house: House) -> Any:
    house.client("Mara", "Lindqvist")
    wishes = {"weekdays": "2,4", "part_of_day": "morning", "gender": "woman", "order": "time"}
    client = found(desk, "Lindqvist")["id"]
    answer = desk.get("open-times", {"client_id": client, **WEEKS, **wishes})
    first = answer["results"][0]
    assert (first["starts_at"][:10], first["practitioner_name"]) in {
        (TUESDAY, "Paula"),
        (TUESDAY, "Olga"),
        (TUESDAY, "Tessa"),
    }
    assert all(one["practitioner_name"] != "Marco" for one in answer["results"])
    return answer


def as_offered(answer: dict[str, Any]) -> dict[str, Any]:
    """The first offer, as it is sent to book it."""
    names = ("practitioner_id", "facility_id", "room_id", "starts_at")
    offer = answer["results"][0]
    return {"client_id": answer["client_id"], **{name: offer[name] for name in names}}


@TASKS.of(25, "book", follows="mornings_with_a_woman")
def book(desk: Desk, house: House) -> Any:
    answer = desk.post("sessions", {**as_offered(desk.screen), "minutes": 60}, status=201)
    assert (answer["status"], answer["client_name"]) == ("booked", "Mara Lindqvist")
    return answer


@TASKS.of(26, "twice a week for six weeks", follows="mornings_with_a_woman")
def twice_a_week(desk: Desk, house: House) -> Any:
    offer = as_offered(desk.screen)
    taken = {**house.hour(house.client("Jonas", "Meyer"), None), "minutes": 180}
    taken |= {name: offer[name] for name in ("practitioner_id", "facility_id")}
    taken["starts_at"] = {"local": "2026-03-24T08:00"}
    house.desk_does("sessions", taken)
    body = {**offer, "minutes": 60, "recurrence": "FREQ=WEEKLY;BYDAY=TU,TH;COUNT=12"}
    answer = desk.post("session-series", body, status=201)
    assert (answer["booked"], answer["refused"]) == (11, 1)
    return answer


@TASKS.of(27, "what could not be booked and why", follows="twice_a_week")
def not_booked(desk: Desk, house: House) -> Any:
    answer = desk.get(f"session-series/{desk.screen['id']}")
    (one,) = answer["not_booked"]
    assert (one["starts_at"][:10], one["code"]) == ("2026-03-24", "time_taken")
    (refused,) = (o["refusal"] for o in desk.screen["occurrences"] if o["refusal"])
    assert refused["detail"]
    return answer


@TASKS.of(28, "move one")
def move_one(desk: Desk, house: House) -> Any:
    house.booked(house.client("Mara", "Lindqvist"), TEN)
    (row,) = of_day(desk, TUESDAY)
    assert row["client_name"] == "Mara Lindqvist"
    later = {"starts_at": {"local": f"{TUESDAY}T14:00"}, "reason": "Asked for a later hour."}
    answer = desk.post(f"sessions/{row['id']}/move", later)
    assert (answer["id"], answer["starts_at"][11:16]) == (row["id"], "14:00")
    return answer


@TASKS.of(29, "move the whole series an hour")
def move_series(desk: Desk, house: House) -> Any:
    house.series(house.client("Mara", "Lindqvist"))
    (row,) = of_day(desk, TUESDAY)
    later = {"from_day": TUESDAY, "shift_minutes": 60, "reason": "Works earlier now."}
    answer = desk.post(f"session-series/{row['series_id']}/move", later)
    assert (answer["moved"], answer["refused"]) == (12, 0)
    return answer


@TASKS.of(30, "cancel one (who, why, how late)")
def cancel_one(desk: Desk, house: House) -> Any:
    waits = house.client("Jonas", "Meyer", phone="+12155550177")
    house.desk_does(f"clients/{waits}/waiting", {"minutes": 60})
    house.booked(house.client("Mara", "Lindqvist"), f"{TOMORROW}T10:00:00-04:00")
    (row,) = of_day(desk, TOMORROW)
    answer = desk.post(f"sessions/{row['id']}/cancellation", {"by": "client", "reason": "A cold."})
    said = (answer["cancelled_by"], answer["ended_reason"], answer["notice_minutes"])
    assert said == ("client", "A cold.", 23 * 60 + 30)
    assert [one["code"] for one in answer["warnings"]]
    return answer


@TASKS.of(31, "booked for the wrong client")
def wrong_client(desk: Desk, house: House) -> Any:
    house.booked(house.client("Mara", "Lindqvist"), TEN)
    (row,) = of_day(desk, TUESDAY)
    answer = desk.post(f"sessions/{row['id']}/entry-in-error", {"reason": "It was another."})
    assert answer["status"] == "entered_in_error"
    return answer


@TASKS.of(32, "cancel the rest of a series")
def cancel_rest(desk: Desk, house: House) -> Any:
    house.series(house.client("Mara", "Lindqvist"))
    (row,) = of_day(desk, "2026-03-26")
    ends = {"from_day": "2026-03-26", "by": "client", "reason": "Goes on at home."}
    answer = desk.post(f"session-series/{row['series_id']}/cancellation", ends)
    assert answer["cancelled"] == 12 - 3
    return answer


def corrected(desk: Desk, status: str, client: str = "Mara Lindqvist") -> Any:
    """Today's session with that status, back at booked."""
    row = next(o for o in of_day(desk, TODAY, status=status) if o["client_name"] == client)
    back = {"status": "booked", "reason": "Ticked on the wrong row."}
    answer = desk.post(f"sessions/{row['id']}/correction", back)
    assert answer["status"] == "booked"
    return answer


def today(house: House, hour: int = 10) -> str:
    """A session of today."""
    client = house.client("Mara", "Lindqvist")
    return str(house.booked(client, f"{TODAY}T{hour}:00:00-04:00")["id"])


@TASKS.of(33, "undo a cancellation")
def undo_cancellation(desk: Desk, house: House) -> Any:
    house.desk_does(
        f"sessions/{today(house, 15)}/cancellation", {"by": "client", "reason": "A cold."}
    )
    return corrected(desk, "cancelled")


@TASKS.of(34, 'undo "arrived" on the wrong row')
def undo_arrival(desk: Desk, house: House) -> Any:
    house.arrived(today(house, 11))
    return corrected(desk, "arrived")


@TASKS.of(35, 'the client came after all after "no-show"')
def came_after_all(desk: Desk, house: House) -> Any:
    with clock.at(MONDAY - timedelta(hours=2)):
        session = today(house, 10)
    house.desk_does(f"sessions/{session}/no-show")
    (row,) = of_day(desk, TODAY, status="no_show")
    late = {**WELL, "reason": "Came fifteen minutes late."}
    answer = desk.post(f"sessions/{row['id']}/arrival", late)
    assert answer["session"]["status"] == "arrived"
    return answer


@TASKS.of(36, "put on the waiting list")
def wait(desk: Desk, house: House) -> Any:
    house.client("Mara", "Lindqvist")
    wishes = {"minutes": 60, "weekdays": [2, 4], "latest": "12:30", "note": "At short notice."}
    path = f"clients/{found(desk, 'Lindqvist')['id']}/waiting"
    answer = desk.post(path, wishes, status=201)
    assert (answer["status"], answer["client_phone"]) == ("waiting", "+12155550134")
    return answer


@TASKS.of(37, "a time came free: who fits, in order; offered, accepted", follows="cancel_one")
def offered_and_accepted(desk: Desk, house: House) -> Any:
    (fit,) = desk.screen["waiting_fits"]["first"]
    assert (fit["client_name"], fit["client_phone"]) == ("Jonas Meyer", "+12155550177")
    path = f"waiting-list/{fit['waiting_id']}"
    desk.post(f"{path}/offers", {"free_session_id": desk.screen["id"]}, status=201)
    answer = desk.post(f"{path}/acceptance", status=201)
    assert (answer["status"], answer["client_name"]) == ("booked", "Jonas Meyer")
    return answer


@TASKS.of(37, "the same, declined")
def declined(desk: Desk, house: House) -> Any:
    client = house.client("Jonas", "Meyer")
    waiting = house.desk_does(f"clients/{client}/waiting", {"minutes": 60})
    hour = house.hour(client, {"local": f"{TUESDAY}T10:00"})
    free = {name: hour[name] for name in ("practitioner_id", "facility_id", "starts_at")}
    house.desk_does(f"waiting-list/{waiting['id']}/offers", free)
    (row,) = desk.get("waiting-list", {"status": "waiting"})["results"]
    assert row["client_name"] == "Jonas Meyer"
    answer = desk.post(f"waiting-list/{row['id']}/decline", {"reason": "At work then."})
    assert [one["answer"] for one in answer["offers"]] == ["declined"]
    return answer
