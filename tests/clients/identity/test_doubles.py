"""Who may be the same person: warned of with a name, never refused, kept with the record."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from clients.identity.domain.contact import DoubleSign
from clients.identity.domain.doubles import PersonOnRecord, days_slipped, signs_of_double
from clients.identity.domain.names import NameSettings
from practice.accesslog.models import AccessEntry
from practice.core.terms import Role
from tests.builders import NOBODY_KNOWS, Api, Built, ok, refused
from tests.clients.bodies import CLIENT

SETTINGS = NameSettings(sounds_alike_from=0.7)
BORN = date(1971, 4, 23)
PHONE = "+14155550123"
MEYER = PersonOnRecord(given_name="Anna", family_name="Meyer", birth_date=BORN, phones=(PHONE,))
NAME, BIRTH, SLIP, ALIKE, ALIKE_SLIP, CALLS = (
    DoubleSign.SAME_NAME,
    DoubleSign.SAME_BIRTH_DATE_ALIKE_NAME,
    DoubleSign.SAME_NAME_BIRTH_DATE_SLIP,
    DoubleSign.ALIKE_NAME,
    DoubleSign.ALIKE_NAME_BIRTH_DATE_SLIP,
    DoubleSign.SAME_PHONE,
)


def person(name: str, born: date | None = BORN, phones: tuple[str, ...] = ()) -> PersonOnRecord:
    given, _, family = name.partition(" ")
    return PersonOnRecord(given_name=given, family_name=family, birth_date=born, phones=phones)


@pytest.mark.parametrize(
    ("new", "signs"),
    [
        (person("Anna Meyer"), (NAME,)),
        (person("Ánna MEYER"), (NAME,)),
        (person("Anna Meyer", None), (NAME,)),
        (person("Anna Maier"), (BIRTH,)),
        (person("Meyer Anna"), (BIRTH,)),
        (person("Anna Maier", None), (ALIKE,)),
        (person("Meyer Anna", None), (ALIKE,)),
        (person("Otto Okafor", None), ()),
        (person("Anna Maier", date(1971, 4, 24)), (ALIKE_SLIP,)),
        (person("Anna Maier", date(1971, 5, 24)), ()),
        (person("Otto Okafor", date(1971, 4, 24)), ()),
        (person("Anna Meyer", date(1971, 4, 24)), (SLIP,)),
        (person("Anna Meyer", date(1983, 6, 15)), ()),
        (person("Otto Okafor", phones=(PHONE,)), (CALLS,)),
        (person("Otto Okafor", phones=("+14155550124", PHONE)), (CALLS,)),
        (person("Otto Okafor", phones=("+14155550124",)), ()),
        (person("Anna Maier", phones=(PHONE,)), (BIRTH, CALLS)),
    ],
)
def test_what_says_that_two_may_be_one(new: PersonOnRecord, signs: tuple[DoubleSign, ...]) -> None:
    assert signs_of_double(new, MEYER, SETTINGS) == signs
    assert signs_of_double(MEYER, new, SETTINGS) == signs


@pytest.mark.parametrize(
    ("other", "slipped"),
    [
        (date(1971, 4, 24), True),
        (date(1961, 4, 23), True),
        (date(1971, 5, 24), False),
        (date(1971, 4, 23), False),
        (None, False),
    ],
)
def test_one_digit_is_a_slip_and_two_are_not(other: date | None, slipped: bool) -> None:
    assert days_slipped(BORN, other) is slipped


def test_day_and_month_changed_about_are_a_slip() -> None:
    assert days_slipped(date(1971, 4, 11), date(1971, 11, 4))
    assert not days_slipped(date(1971, 4, 11), date(1972, 11, 4))


pytestmark = pytest.mark.django_db
ANNA: dict[str, Any] = {**CLIENT, "given_name": "Anna", "family_name": "Meyer"}
ANNE: dict[str, Any] = {**ANNA, "family_name": "Maier", "phone": "415 555 0177"}


def test_a_double_is_named_with_birth_date_id_and_why_and_nothing_is_refused(desk: Api) -> None:
    first = ok(desk.post("clients", ANNA), 201)
    assert first["warnings"] == first["doubles_shown"] == []
    second = ok(desk.post("clients", ANNE), 201)
    [warning] = second["warnings"]
    assert (warning["code"], warning["client_id"]) == ("possible_double", first["id"])
    assert (warning["name"], warning["birth_date"]) == ("Anna Meyer", "1971-04-23")
    assert warning["signs"] == ["same_birth_date_alike_name"]
    assert "Anna Meyer, born 1971-04-23" in warning["text"]


def test_the_record_keeps_who_was_shown_and_that_they_are_other_people(
    desk: Api, owner: Api
) -> None:
    first = ok(desk.post("clients", ANNA), 201)["id"]
    second = ok(desk.post("clients", ANNE), 201)["id"]
    said = ok(desk.patch(f"clients/{second}", {"told_apart_from": [first]}))
    assert said["told_apart_from"] == [first]
    assert [one["client_id"] for one in said["doubles_shown"]] == [first]
    texts = [one["text"] for one in ok(owner.get(f"clients/{second}/history"))["results"]]
    assert texts == [
        "Anna Maier was registered; 1 on record who may be the same person: shown.",
        "The client's details were changed: told apart from.",
    ]


def test_who_was_told_apart_before_is_not_named_again(desk: Api) -> None:
    first = ok(desk.post("clients", ANNA), 201)["id"]
    again = ok(desk.post("clients", {**ANNE, "told_apart_from": [first]}), 201)
    assert (again["warnings"], again["told_apart_from"]) == ([], [first])


def test_nobody_is_told_apart_from_one_whom_the_caller_does_not_see(
    built: Built, desk: Api
) -> None:
    elsewhere = {**ANNA, "facility_ids": [str(built.west.pk)]}
    hidden = ok(built.api(Role.OWNER).post("clients", elsewhere), 201)["id"]
    for other in (hidden, str(NOBODY_KNOWS)):
        refused(desk.post("clients", {**ANNE, "told_apart_from": [other]}), 404, "not_found")
    mine = ok(desk.post("clients", ANNE), 201)
    assert mine["warnings"] == []
    refused(desk.patch(f"clients/{mine['id']}", {"told_apart_from": [hidden]}), 404, "not_found")


def test_doubles_can_be_looked_for_before_anything_is_written(desk: Api) -> None:
    first = ok(desk.post("clients", ANNA), 201)["id"]
    asked = {"family_name": "Okafor", "phone": CLIENT["phone"]}
    [found] = ok(desk.post("clients/possible-doubles", asked))
    assert (found["client_id"], found["signs"]) == (first, ["same_phone"])
    assert found["name"] == "Anna Meyer"
    assert ok(desk.post("clients/possible-doubles", {"family_name": "Okafor"})) == []


def test_a_second_phone_is_known_too(desk: Api) -> None:
    phones = [{"number": "415 555 0111"}, {"number": "415 555 0122", "label": "work"}]
    ok(desk.post("clients", {**ANNA, "phone": "415 555 0111", "phones": phones}), 201)
    other = {"given_name": "Otto", "family_name": "Okafor", "phone": "415 555 0122"}
    [warning] = ok(desk.post("clients", other), 201)["warnings"]
    assert warning["signs"] == ["same_phone"]


def test_whoever_is_named_is_read_and_logged(desk: Api) -> None:
    """Ruling 62: every answer that names a client is a read."""
    first = ok(desk.post("clients", ANNA), 201)["id"]
    before = AccessEntry.objects.count()
    ok(desk.post("clients", ANNE), 201)
    ok(desk.post("clients/possible-doubles", {"family_name": "Meyer", "given_name": "Anna"}))
    read = AccessEntry.objects.order_by("id")[before:]
    assert [str(entry.client_id) for entry in read].count(first) == 2


@pytest.mark.parametrize(
    ("asked", "sign"),
    [
        (("Katharina", "van der O Brien", "1969-02-05"), "alike_name_birth_date_slip"),
        (("Katarina", "O Brien", None), "alike_name"),
        (("O Brien", "Katarina", None), "alike_name"),
        (("Katarína", "van der Ó Brien", "1969-05-02"), "same_name"),
        (("Katarina", "Brandt", None), None),
        (("Katharina", "van der O Brien", "1983-05-02"), None),
    ],
)
def test_a_double_is_found_by_what_a_search_would_find(
    desk: Api, asked: tuple[str, str, str | None], sign: str | None
) -> None:
    on_record = {"given_name": "Katarína", "family_name": "van der Ó Brien"}
    ok(desk.post("clients", {**CLIENT, **on_record, "birth_date": "1969-05-02"}), 201)
    given, family, born = asked
    who = {"given_name": given, "family_name": family} | ({"birth_date": born} if born else {})
    found = ok(desk.post("clients/possible-doubles", who))
    assert [one["signs"] for one in found] == ([[sign]] if sign else [])
