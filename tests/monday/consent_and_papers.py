"""Tasks 14 to 22: consent and papers."""

from __future__ import annotations

from typing import Any

from tests.monday.desk import Desk, Tasks
from tests.monday.house import TODAY, TOMORROW, House
from tests.monday.registering import found

TASKS = Tasks()
ARM = [{"region": "arm", "side": "left"}, {"region": "shoulder", "side": "left"}]
GIVEN = {"regions": ARM, "techniques": ["active_isolated"], "language": "en"}


def given(desk: Desk, **how: Any) -> Any:
    """A consent recorded for the client who is found."""
    path = f"clients/{found(desk, 'Lindqvist')['id']}/touch-consent"
    return desk.post(path, {**GIVEN, **how}, status=201)


@TASKS.of(14, "consent from paper with its signing date")
def from_paper(desk: Desk, house: House) -> Any:
    house.client("Mara", "Lindqvist", known=False)
    answer = given(desk, form="paper", signed_on="2026-03-06")
    assert (answer["in_force"], answer["given_on"]) == (True, "2026-03-06")
    return answer


@TASKS.of(15, "spoken consent with a witness")
def spoken(desk: Desk, house: House) -> Any:
    house.client("Mara", "Lindqvist", known=False)
    answer = given(desk, form="spoken_with_witness", witness="Ana Rivera")
    assert (answer["in_force"], answer["witness"]) == (True, "Ana Rivera")
    return answer


def narrowed(desk: Desk, house: House, said: dict[str, Any]) -> Any:
    """A withdrawal of a client with a session booked for tomorrow."""
    house.booked(house.client("Mara", "Lindqvist"), f"{TOMORROW}T10:00:00-04:00")
    path = f"clients/{found(desk, 'Lindqvist')['id']}/touch-consent/withdrawal"
    answer = desk.post(path, said)
    (session,) = answer["sessions"]
    assert (session["changed"], session["was"]) == (True, "all")
    assert session["text"]
    return answer


@TASKS.of(16, "narrow it: which booked sessions changed")
def narrow(desk: Desk, house: House) -> Any:
    answer = narrowed(desk, house, {"regions": ARM})
    assert answer["sessions"][0]["now"] == "part"
    return answer


@TASKS.of(17, "renew or widen it: which booked sessions changed")
def widen(desk: Desk, house: House) -> Any:
    client = house.client("Mara", "Lindqvist")
    house.booked(client, f"{TOMORROW}T10:00:00-04:00")
    house.withdrawn(client)
    answer = given(desk, form="typed_signature", typed_name="Mara Lindqvist")
    (session,) = answer["sessions"]
    assert answer["in_force"]
    assert (session["now"], session["may_be"]) == ("nothing", "part")
    return answer


@TASKS.of(18, "withdraw it")
def withdraw(desk: Desk, house: House) -> Any:
    answer = narrowed(desk, house, {"reason": "Rather not any more."})
    assert (answer["status"], answer["sessions"][0]["now"]) == ("withdrawn", "nothing")
    return answer


@TASKS.of(19, "a guardian's consent")
def guardians_consent(desk: Desk, house: House) -> Any:
    mother = {"name": "Mina Lindqvist", "relation": "mother", "proof": "birth certificate"}
    house.client("Mara", "Lindqvist", known=False, birth_date="2012-05-31", guardian=mother)
    answer = given(desk, form="paper", signed_on=TODAY, signer="guardian")
    assert (answer["in_force"], answer["guardian_name"]) == (True, "Mina Lindqvist")
    return answer


@TASKS.of(20, "a clearance asked of the surgeon (sent)")
def clearance_asked(desk: Desk, house: House) -> Any:
    house.client("Mara", "Lindqvist", known=False)
    asked = {
        "kind": "clearance",
        "asked_of": {"name": "Amara Whitfield", "role": "surgeon", "fax": "+12155550172"},
        "sent": {"channel": "fax"},
    }
    path = f"clients/{found(desk, 'Lindqvist')['id']}/papers"
    answer = desk.post(path, asked, status=201)
    assert (answer["status"], answer["sent_on"]) == ("waiting", TODAY)
    return answer


@TASKS.of(21, "the paper answered")
def paper_answered(desk: Desk, house: House) -> Any:
    client = house.client("Mara", "Lindqvist", known=False)
    surgeon = {"name": "Amara Whitfield", "role": "surgeon"}
    house.desk_does(f"clients/{client}/papers", {"kind": "clearance", "asked_of": surgeon})
    (paper,) = desk.get("papers", {"status": "waiting"})["results"]
    assert (paper["client_name"], paper["asked_of"]["name"]) == (
        "Mara Lindqvist",
        "Amara Whitfield",
    )
    path = f"clients/{paper['client_id']}/papers/{paper['id']}/answer"
    answer = desk.post(path, {"outcome": "given", "expires_on": "2026-09-01"})
    assert answer["status"] == "answered"
    # A paper opens nothing: the order is a practitioner's to file, and the answer says so.
    assert [one["code"] for one in answer["warnings"]]
    return answer


@TASKS.of(22, "what is missing for tomorrow and of whom to ask it")
def missing_tomorrow(desk: Desk, house: House) -> Any:
    client = house.client("Mara", "Lindqvist", known=False)
    house.booked(client, f"{TOMORROW}T10:00:00-04:00")
    facility = place(desk, "East")
    answer = desk.get("day-sheet", {"facility_id": facility, "day": TOMORROW})
    (line,) = answer["sessions"]
    assert (line["client"], line["phone"]) == ("Mara Lindqvist", "+12155550134")
    assert [answer["texts"][code] for code in line["missing"]] == [
        "No touch consent covers it: ask the client.",
        "No health history: ask the client.",
    ]
    return answer


def place(desk: Desk, name: str) -> str:
    """One of the desk's own places."""
    mine = desk.get("me")["facilities"]
    return str(next(one["id"] for one in mine if one["name"] == name))
