"""Finding a client by what the desk knows: any part of a name, a sound, a phone's end."""

from __future__ import annotations

from typing import Any

import pytest

from tests.builders import Api, ok, refused
from tests.clients.bodies import CLIENT

pytestmark = pytest.mark.django_db


def register(desk: Api, name: str, **more: Any) -> str:
    """The id of a new client; ``name`` is "given|family"."""
    given, _, family = name.partition("|")
    body = {**CLIENT, "phone": "", "given_name": given, "family_name": family, **more}
    made: str = ok(desk.post("clients", body), 201)["id"]
    return made


def found(desk: Api, **asked: Any) -> list[tuple[str, str]]:
    rows = ok(desk.post("clients/search", asked))["results"]
    return [(one["name"], one["match"]) for one in rows]


@pytest.mark.parametrize(
    ("asked", "match"),
    [
        ("Jó van der Méer", "exact"),
        ("van der Meer, Jo", "exact"),
        ("van der", "begins"),
        ("JO VAN", "begins"),
        ("meer", "part"),
        ("der mee", "part"),
        ("meer jo", "part"),
        ("vandermeer", "part"),
        ("der", "part"),
        ("meyr", "sound"),
        ("vandermere", "sound"),
        ("jo meyr", "sound"),
    ],
)
def test_any_part_of_a_name_finds_it_and_says_how_it_fits(
    desk: Api, asked: str, match: str
) -> None:
    register(desk, "Jó|van der Meer")
    assert found(desk, name=asked) == [("Jó van der Meer", match)]


@pytest.mark.parametrize("asked", ["eer", "van den", "jo okafor", "maja", "meerkat"])
def test_every_part_asked_for_must_fit(desk: Api, asked: str) -> None:
    register(desk, "Jó|van der Meer")
    assert found(desk, name=asked) == []


@pytest.mark.parametrize("asked", ["O'Neil", "oneil", "o neil", "neil", "Ó"])
def test_an_apostrophe_is_written_or_left_out(desk: Api, asked: str) -> None:
    register(desk, "Aoife|Ó'Neil")
    assert [name for name, _ in found(desk, name=asked)] == ["Aoife Ó'Neil"]


def test_the_best_come_first_and_pages_keep_the_order(desk: Api) -> None:
    for name in ("Anna|Maier", "Meyer|Okafor", "|Meyer", "Ida|Berg Meyer", "Anna|Meyerling"):
        register(desk, name)
    ranked = [
        ("Meyer", "exact"),
        ("Anna Meyerling", "begins"),
        ("Meyer Okafor", "begins"),
        ("Ida Berg Meyer", "part"),
        ("Anna Maier", "sound"),
    ]
    assert found(desk, name="meyer") == ranked
    pages, query = [], "clients/search?page_size=2"
    while query:
        page = ok(desk.post(query, {"name": "meyer"}))
        pages += [(one["name"], one["match"]) for one in page["results"]]
        cursor = page["next_cursor"]
        query = f"clients/search?page_size=2&cursor={cursor}" if cursor else ""
    assert pages == ranked


@pytest.mark.parametrize(
    ("asked", "there"),
    [
        ("0123", True),
        ("555-0123", True),
        ("(415) 555-0123", True),
        ("+1 415 555 0123", True),
        ("0124", False),
        ("1415", False),
        ("5550177", True),
    ],
)
def test_a_phone_is_found_by_its_end(desk: Api, asked: str, there: bool) -> None:
    phones = [{"number": "+1 415 555 0123"}, {"number": "+1 415 555 0177"}]
    register(desk, "Anna|Meyer", phone="+1 415 555 0123", phones=phones)
    assert bool(found(desk, phone=asked)) is there


@pytest.mark.parametrize("asked", ["123", "12 3", "phone", "0123x"])
def test_fewer_than_four_digits_are_400(desk: Api, asked: str) -> None:
    problem = refused(desk.post("clients/search", {"phone": asked}), 400, "invalid")
    assert [one["field"] for one in problem["errors"]] == ["phone"]


@pytest.mark.parametrize(
    ("asked", "there"),
    [
        ("1971", True),
        ("1971-04", True),
        ("1971-04-23", True),
        ("1970", False),
        ("1971-05", False),
        ("1971-03", False),
        ("1971-04-22", False),
    ],
)
def test_a_birth_date_may_be_a_month_or_a_year(desk: Api, asked: str, there: bool) -> None:
    register(desk, "Anna|Meyer")
    assert bool(found(desk, birth_date=asked)) is there
    assert bool(found(desk, birth_date=asked, name="meyer")) is there


def test_a_new_name_is_found_and_the_old_one_is_not(desk: Api) -> None:
    client = register(desk, "Anna|Meyer", phone="415 555 0123")
    ok(desk.patch(f"clients/{client}", {"family_name": "Okafor", "phone": "415 555 0177"}))
    assert found(desk, name="okafor") == [("Anna Okafor", "begins")]
    assert found(desk, name="meyer") == found(desk, phone="0123") == []
    assert found(desk, phone="0177") == [("Anna Okafor", "exact")]


@pytest.mark.parametrize("asked", [{}, {"name": ""}, {"name": " ,- "}, {"phone": ""}])
def test_a_search_for_nothing_is_400(desk: Api, asked: dict[str, str]) -> None:
    refused(desk.post("clients/search", asked), 400, "invalid")
