"""Tasks 1 to 13: registering and finding."""

from __future__ import annotations

from typing import Any

from tests.monday.desk import Desk, Tasks
from tests.monday.house import House

TASKS = Tasks()


def found(desk: Desk, name: str) -> dict[str, Any]:
    """The one client of that name."""
    (row,) = desk.post("clients/search", {"name": name})["results"]
    return dict(row)


@TASKS.of(1, "register a client who calls; a possible double is named in the answer")
def register(desk: Desk, house: House) -> Any:
    house.client("Mara", "Lindqvist", known=False)
    caller = {
        "given_name": "Mara",
        "family_name": "Lindqvist",
        "birth_date": "1971-04-23",
        "phone": "215 555 0134",
    }
    answer = desk.post("clients", caller, status=201)
    (warning,) = answer["warnings"]
    assert warning["name"] == "Mara Lindqvist"
    assert warning["text"].startswith("Mara Lindqvist, born 1971-04-23, is on record with ")
    return answer


@TASKS.of(2, 'find by an inner part of the name ("van der", without accents)')
def find_by_part(desk: Desk, house: House) -> Any:
    house.client("Zoë", "van der Ley", known=False)
    house.client("Jan", "Verley", known=False)
    answer = desk.post("clients/search", {"name": "zoe van der"})
    assert [one["name"] for one in answer["results"]] == ["Zoë van der Ley"]
    return answer


@TASKS.of(3, "find by the last four digits of a phone")
def find_by_phone(desk: Desk, house: House) -> Any:
    house.client("Mara", "Lindqvist", known=False)
    house.client("Ines", "Okoro", known=False, phone="+12155550177")
    answer = desk.post("clients/search", {"phone": "0177"})
    assert [one["name"] for one in answer["results"]] == ["Ines Okoro"]
    return answer


@TASKS.of(4, 'find by sound or a typing slip ("Maier" for "Meyer")')
def find_by_sound(desk: Desk, house: House) -> Any:
    house.client("Jonas", "Meyer", known=False)
    answer = desk.post("clients/search", {"name": "Maier"})
    assert [(one["name"], one["match"]) for one in answer["results"]] == [("Jonas Meyer", "sound")]
    return answer


@TASKS.of(5, "register a person with one name")
def one_name(desk: Desk, house: House) -> Any:
    answer = desk.post("clients", {"family_name": "Wirastuti", "phone": ""}, status=201)
    assert (answer["name"], answer["given_name"]) == ("Wirastuti", "")
    return answer


@TASKS.of(6, "add a second phone and the best time to call")
def second_phone(desk: Desk, house: House) -> Any:
    house.client("Mara", "Lindqvist", known=False)
    row = found(desk, "Lindqvist")
    work = {"number": "+12155550135", "label": "work", "best_time": "after 16:00"}
    answer = desk.patch(f"clients/{row['id']}", {"phones": [*row["phones"], work]})
    assert [one["number"] for one in answer["phones"]] == ["+12155550134", "+12155550135"]
    assert answer["phones"][1]["best_time"] == "after 16:00"
    return answer


def changed(desk: Desk, house: House, **details: Any) -> Any:
    """A client found by name and changed; the answer shows what was said."""
    house.client("Mara", "Lindqvist", known=False)
    answer = desk.patch(f"clients/{found(desk, 'Lindqvist')['id']}", details)
    for name, value in details.items():
        assert_says(answer[name], value)
    return answer


def added(desk: Desk, house: House, where: str, entry: dict[str, Any]) -> Any:
    """A client found by name, and one entry more; the answer shows what was said."""
    house.client("Mara", "Lindqvist", known=False)
    answer = desk.post(f"clients/{found(desk, 'Lindqvist')['id']}/{where}", entry, status=201)
    assert_says(answer[where.replace("-", "_")], [entry])
    return answer


def assert_says(shown: Any, said: Any) -> None:
    """What is shown has at least what was said."""
    if isinstance(said, dict):
        for name, value in said.items():
            assert_says(shown[name], value)
    elif isinstance(said, list):
        assert len(shown) == len(said)
        for one, other in zip(shown, said, strict=True):
            assert_says(one, other)
    else:
        assert shown == said


@TASKS.of(7, "emergency contact")
def emergency_contact(desk: Desk, house: House) -> Any:
    brother = {"name": "Jon Lindqvist", "relation": "brother", "phone": "+12155550150"}
    return added(desk, house, "emergency-contacts", brother)["emergency_contacts"]


@TASKS.of(8, "who referred them")
def referrer(desk: Desk, house: House) -> Any:
    return changed(desk, house, referrer={"name": "Dr. Amal Haddad", "kind": "surgeon"})


@TASKS.of(9, "guardian of a minor, with proof and until when")
def guardian(desk: Desk, house: House) -> Any:
    mother = {
        "name": "Mina Lindqvist",
        "relation": "mother",
        "proof": "birth certificate",
        "proof_seen_on": "2026-03-09",
        "until": "2028-05-31",
    }
    return changed(desk, house, birth_date="2010-06-01", guardian=mother)


@TASKS.of(10, "language and interpreter")
def interpreter(desk: Desk, house: House) -> Any:
    return changed(desk, house, language="es", interpreter_needed=True)


@TASKS.of(11, "contact wishes (mail, text, phone, none; hours)")
def contact_wishes(desk: Desk, house: House) -> Any:
    hours = {"starts": "16:00:00", "ends": "19:00:00"}
    return changed(desk, house, contact_by="text", contact_also_by=["phone"], contact_hours=hours)


@TASKS.of(12, "days and times that do not suit (chemotherapy)")
def unsuitable_times(desk: Desk, house: House) -> Any:
    tuesdays = {"weekday": 2, "reason": "chemotherapy", "until": "2026-06-30"}
    return added(desk, house, "unsuitable-times", tuesdays)["unsuitable_times"]


@TASKS.of(13, "an operation of which only the month is known")
def operation_of_a_month(desk: Desk, house: House) -> Any:
    house.client("Mara", "Lindqvist", known=False)
    operation = {"kind": "mastectomy", "side": "left", "on": "2025-11"}
    path = f"clients/{found(desk, 'Lindqvist')['id']}/health-history"
    answer = desk.post(path, {"operations": [operation]}, status=201)
    assert answer["status"] == "reported"
    return answer
