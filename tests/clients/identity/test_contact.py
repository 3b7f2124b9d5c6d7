"""Phones, people beside the client, wishes and times: entered, kept, changed, shown."""

from __future__ import annotations

from typing import Any

import pytest

from practice.core.terms import Role
from tests.builders import Api, Built, ok, refused
from tests.clients.bodies import CLIENT, CONSENT

pytestmark = pytest.mark.django_db
HOME: dict[str, Any] = {"number": "+14155550123", "label": "home", "texts": False, "best_time": ""}
WORK: dict[str, Any] = {
    "number": "+14155550177",
    "label": "work",
    "texts": True,
    "best_time": "after 16:00",
}
ALL: dict[str, Any] = {
    "phones": [HOME, WORK],
    "contact_by": "phone",
    "contact_also_by": ["text", "mail"],
    "contact_hours": {"starts": "09:00:00", "ends": "17:30:00"},
    "interpreter_needed": True,
    "emergency_contacts": [{"name": "Jon Lind", "relation": "brother", "phone": "+14155550188"}],
    "referrer": {"name": "Dr. Amal Haddad", "kind": "surgeon", "phone": "+14155550199"},
    "guardian": {
        "name": "Mina Okafor",
        "relation": "mother",
        "phone": "+14155550166",
        "proof": "birth certificate",
        "proof_seen_on": "2026-03-02",
        "until": "2027-05-31",
    },
    "unsuitable_times": [
        {
            "weekday": 2,
            "starts": "08:00:00",
            "ends": "13:00:00",
            "reason": "chemotherapy",
            "from_date": "2026-03-01",
            "until": "2026-06-30",
        }
    ],
    "planned_sessions_per_week": 2,
}


def without_ids(shown: dict[str, Any]) -> dict[str, Any]:
    """What was said, as it was sent: entries have ids since."""
    lists = ("emergency_contacts", "unsuitable_times")
    plain = {name: [{**one} for one in shown[name]] for name in lists}
    assert all(one.pop("id") for rows in plain.values() for one in rows)
    return {name: {**shown, **plain}[name] for name in ALL}


def registered(desk: Api, **more: Any) -> dict[str, Any]:
    made: dict[str, Any] = ok(desk.post("clients", {**CLIENT, **more}), 201)
    return made


def test_everything_that_is_said_at_the_desk_is_kept_and_shown(desk: Api) -> None:
    made = registered(desk, **ALL)
    shown = ok(desk.get(f"clients/{made['id']}"))
    assert without_ids(shown) == ALL
    assert shown["phone"] == HOME["number"]


def test_a_field_left_out_keeps_what_was_said_and_null_takes_it_away(desk: Api, owner: Api) -> None:
    made = registered(desk, **ALL)
    path = f"clients/{made['id']}"
    kept = ok(desk.patch(path, {"email": "other@example.org"}))
    assert without_ids(kept) == ALL
    gone = ok(desk.patch(path, {"guardian": None, "referrer": None, "contact_hours": None}))
    assert (gone["guardian"], gone["referrer"], gone["contact_hours"]) == (None, None, None)
    assert gone["emergency_contacts"] == made["emergency_contacts"]
    texts = [one["text"] for one in ok(owner.get(f"{path}/history"))["results"]]
    assert texts[1:] == [
        "The client's details were changed: email.",
        "The client's details were changed: contact hours, referrer, guardian.",
    ]
    again = ok(desk.patch(path, {"phones": [HOME, WORK]}))
    assert again["version"] == 3, "nothing new, nothing written"


def test_the_record_as_known_says_what_stood_then(desk: Api, owner: Api) -> None:
    made = registered(desk, **ALL)
    known = ok(owner.get(f"clients/{made['id']}/record"))["details"]
    assert known["guardian"]["name"] == "Mina Okafor"
    assert known["unsuitable_times"][0]["reason"] == "chemotherapy"


def test_billing_sees_the_times_without_their_reason(built: Built, desk: Api) -> None:
    made = registered(desk, **ALL)
    [one] = ok(built.api(Role.BILLING).get(f"clients/{made['id']}"))["unsuitable_times"]
    assert (one["weekday"], one["reason"]) == (2, "")


def test_what_stands_in_a_list_is_left_out_only_by_who_has_read_it(
    built: Built, desk: Api, owner: Api
) -> None:
    """Another device may have added it since: ways to reach the client, where they are known, and
    whom they are not."""
    other = registered(desk)["id"]
    here, there = str(built.east.pk), str(built.west.pk)
    made = registered(owner, contact_by="mail", facility_ids=[here])
    path = f"clients/{made['id']}"
    whole = {
        "contact_also_by": ["phone", "text"],
        "facility_ids": [here, there],
        "told_apart_from": [other],
    }
    less = {"contact_also_by": ["text"], "facility_ids": [there], "told_apart_from": []}
    gone = {"contact_also_by": ["phone"], "facility_ids": [here], "told_apart_from": [other]}
    version = ok(owner.patch(path, whole))["version"]
    for field, left in less.items():
        ok(owner.patch(path, {field: whole[field][::-1]}))
        problem = refused(owner.patch(path, {field: left}), 428, "version_required")
        assert problem["left_out"] == gone[field]
        assert problem["errors"][0]["field"] == field
    assert owner.patch(path, less, match=version).status_code == 412
    version = ok(owner.get(path))["version"]
    changed = ok(owner.patch(path, less, match=version))
    assert {field: changed[field] for field in less} == less


@pytest.mark.parametrize(
    ("change", "phone", "phones"),
    [
        ({"phone": "415 555 0100"}, "+14155550100", ["+14155550100", WORK["number"]]),
        ({"phone": WORK["number"]}, WORK["number"], [WORK["number"], HOME["number"]]),
        ({"phone": ""}, WORK["number"], [WORK["number"]]),
        ({"phones": [WORK]}, WORK["number"], [WORK["number"]]),
        ({"phones": [], "contact_by": "mail", "contact_also_by": []}, "", []),
        (
            {"phones": [HOME, WORK], "phone": WORK["number"]},
            WORK["number"],
            [WORK["number"], HOME["number"]],
        ),
    ],
)
def test_the_main_phone_is_the_first_of_all(
    desk: Api, change: dict[str, Any], phone: str, phones: list[str]
) -> None:
    path = f"clients/{registered(desk, **ALL)['id']}"
    changed = ok(desk.change(path, change))
    assert (changed["phone"], [one["number"] for one in changed["phones"]]) == (phone, phones)
    assert ok(desk.get(path))["phones"] == changed["phones"]


def test_a_phone_that_stands_is_left_out_only_by_who_has_read_it(desk: Api) -> None:
    made = registered(desk, phones=[HOME])
    path = f"clients/{made['id']}"
    added = ok(desk.patch(path, {"phones": [HOME, WORK]}))
    problem = refused(desk.patch(path, {"phones": [HOME]}), 428, "version_required")
    assert problem["left_out"] == [WORK["number"]]
    assert desk.patch(path, {"phones": [HOME]}, match=made["version"]).status_code == 412
    left = ok(desk.patch(path, {"phones": [HOME]}, match=added["version"]))
    assert [one["number"] for one in left["phones"]] == [HOME["number"]]


def test_what_is_left_out_of_a_number_or_a_person_that_stands_stays(desk: Api) -> None:
    """A guardian with a new phone keeps the last day, on which their consent ends."""
    path = f"clients/{registered(desk, **ALL)['id']}"
    asked: dict[str, Any] = {
        "phones": [{"number": HOME["number"]}, {"number": WORK["number"], "best_time": "at noon"}],
        "guardian": {"name": "Okafor, Mina", "relation": "mother", "phone": "+14155550111"},
        "referrer": {"name": "Dr. Amal Haddad", "kind": "physician"},
    }
    changed = ok(desk.patch(path, asked))
    assert changed["phones"] == [HOME, {**WORK, "best_time": "at noon"}]
    assert changed["guardian"] == {**ALL["guardian"], **asked["guardian"]}
    assert changed["referrer"] == {**ALL["referrer"], "kind": "physician"}
    ended = ok(desk.patch(path, {"guardian": {**asked["guardian"], "until": None}}))
    assert (ended["guardian"]["until"], ended["guardian"]["proof"]) == (None, "birth certificate")


def test_another_person_keeps_nothing_and_needs_who_has_read_whom_they_follow(desk: Api) -> None:
    made = registered(desk, **ALL)
    path = f"clients/{made['id']}"
    other = {"guardian": {"name": "Ike Okafor", "relation": "father", "phone": "+14155550111"}}
    problem = refused(desk.patch(path, other), 428, "version_required")
    assert problem["left_out"] == ["guardian.proof", "guardian.proof_seen_on", "guardian.until"]
    bare = {"proof": "", "proof_seen_on": None, "until": None}
    followed = ok(desk.patch(path, other, match=made["version"]))
    assert followed["guardian"] == {**other["guardian"], **bare}
    third = {"guardian": {"name": "Ada Okafor", "relation": "aunt", "phone": ""}}
    assert ok(desk.patch(path, third))["guardian"]["name"] == "Ada Okafor", "all is said anew"


@pytest.mark.parametrize("more", [{}, {"contact_also_by": []}])
def test_no_contact_ends_whatever_else_was_allowed(desk: Api, more: dict[str, Any]) -> None:
    path = f"clients/{registered(desk, **ALL)['id']}"
    ended = ok(desk.patch(path, {"contact_by": "none", **more}))
    assert (ended["contact_by"], ended["contact_also_by"]) == ("none", [])


def test_a_phone_of_which_nothing_more_is_said_takes_texts_where_they_are_allowed(
    desk: Api,
) -> None:
    made = registered(desk)
    assert made["phones"] == [{**HOME, "label": ""}]
    texted = ok(desk.patch(f"clients/{made['id']}", {"contact_by": "text"}))
    assert texted["phones"] == [{**HOME, "label": "", "texts": True}]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"phones": [HOME, HOME]}, "phones"),
        ({"phones": [HOME], "phone": WORK["number"]}, "phone"),
        ({"phones": [{"number": "12"}]}, "phones"),
        ({"phones": [HOME] * 11}, "phones"),
        ({"phones": [HOME], "contact_by": "text"}, "phones"),
        ({"phones": [HOME], "contact_also_by": ["text"]}, "phones"),
        ({"phone": "", "contact_also_by": ["phone"]}, "phone"),
        ({"email": "", "contact_by": "phone", "contact_also_by": ["mail"]}, "email"),
        ({"contact_by": "none", "contact_also_by": ["mail"]}, "contact_also_by"),
        ({"contact_hours": {"starts": "17:00", "ends": "17:00"}}, "contact_hours"),
        ({"contact_hours": {"starts": "17:00"}}, "contact_hours"),
        ({"emergency_contacts": [{"name": "Jon"}]}, "emergency_contacts"),
        ({"referrer": {"name": "Dr. Haddad", "kind": "astrologer"}}, "referrer"),
        ({"guardian": {"name": "Mina"}}, "guardian"),
        (
            {"guardian": {"name": "M", "relation": "mother", "proof_seen_on": "2199-01-01"}},
            "guardian",
        ),
        ({"planned_sessions_per_week": 0}, "planned_sessions_per_week"),
        ({"planned_sessions_per_week": 15}, "planned_sessions_per_week"),
        ({"unsuitable_times": [{"weekday": 0}]}, "unsuitable_times"),
        ({"unsuitable_times": [{"weekday": 8}]}, "unsuitable_times"),
        ({"unsuitable_times": [{"weekday": 1, "starts": "09:00"}]}, "unsuitable_times"),
        (
            {"unsuitable_times": [{"weekday": 1, "starts": "09:00", "ends": "09:00"}]},
            "unsuitable_times",
        ),
        (
            {"unsuitable_times": [{"from_date": "2026-03-02", "until": "2026-03-01"}]},
            "unsuitable_times",
        ),
        ({"unsuitable_times": [{"reason": "never"}]}, "unsuitable_times"),
        ({"given_name": "", "family_name": ""}, "family_name"),
        ({"told_apart_from": ["me"]}, "told_apart_from"),
    ],
)
def test_what_cannot_be_is_400_with_its_field(
    desk: Api, change: dict[str, Any], field: str
) -> None:
    problem = refused(desk.post("clients", {**CLIENT, **change}), 400, "invalid")
    assert field in {one["field"].split(".")[0] for one in problem["errors"]}


@pytest.mark.parametrize(
    "one",
    [
        {"weekday": 7},
        {"starts": "09:00", "ends": "09:01"},
        {"until": "2026-03-01"},
        {"from_date": "2026-03-01", "until": "2026-03-01"},
    ],
)
def test_a_time_that_leaves_others_open_is_taken(desk: Api, one: dict[str, Any]) -> None:
    assert len(registered(desk, unsuitable_times=[one])["unsuitable_times"]) == 1


@pytest.mark.parametrize(
    ("given", "family", "name"), [("Suharto", "", "Suharto"), ("", "Madonna", "Madonna")]
)
def test_a_person_with_one_name_is_registered_shown_sorted_and_found(
    desk: Api, given: str, family: str, name: str
) -> None:
    registered(desk, given_name="Zoe", family_name="Zimmer", phone="")
    registered(desk, given_name="Ada", family_name="Aalto", phone="")
    made = registered(desk, given_name=given, family_name=family, phone="")
    assert made["name"] == name
    listed = [one["name"] for one in ok(desk.get("clients"))["results"]]
    assert listed == ["Ada Aalto", name, "Zoe Zimmer"]
    [found] = ok(desk.post("clients/search", {"name": name.lower()}))["results"]
    assert (found["id"], found["match"]) == (made["id"], "exact")
    path = f"clients/{made['id']}"
    refused(desk.patch(path, {"given_name": "", "family_name": ""}), 400, "invalid")


def test_a_guardian_on_record_signs_without_being_entered_twice(desk: Api) -> None:
    """Ruling 56; the consent ends with the guardianship where that is earlier."""
    body = {**ALL, "birth_date": "2012-06-01"}
    path = f"clients/{registered(desk, **body)['id']}/touch-consent"
    signed = {**CONSENT, "signer": "guardian", "until": "2027-12-31"}
    given = ok(desk.post(path, signed), 201)
    assert (given["guardian_name"], given["guardian_relation"]) == ("Mina Okafor", "mother")
    assert given["until"] == "2027-05-31"
    father = {"guardian_name": "Sam Okafor", "guardian_relation": "father"}
    other = ok(desk.post(path, {**signed, **father}), 201)
    assert (other["guardian_name"], other["until"]) == ("Sam Okafor", "2027-12-31")
    refused(desk.post(path, {**signed, "guardian_name": "Sam Okafor"}), 400, "invalid")


@pytest.mark.parametrize(("until", "taken"), [("2026-03-02", True), ("2026-03-01", False)])
def test_a_guardianship_that_was_over_signs_nothing(desk: Api, until: str, taken: bool) -> None:
    guardian = {**ALL["guardian"], "until": until}
    made = registered(desk, birth_date="2012-06-01", guardian=guardian)
    signed = {**CONSENT, "signer": "guardian", "signed_on": "2026-03-02"}
    answer = desk.post(f"clients/{made['id']}/touch-consent", {**signed, "until": "2027-01-01"})
    if taken:
        assert ok(answer, 201)["until"] == until
    else:
        problem = refused(answer, 400, "invalid")
        assert [one["field"] for one in problem["errors"]] == ["guardian_name"]
