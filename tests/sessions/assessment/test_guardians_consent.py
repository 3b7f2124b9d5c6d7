"""A guardian's consent over HTTP, to the birthday and past it (ruling 56)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from uuid import UUID

import pytest

from practice.audit.rebuild import compare
from practice.clock import clock
from practice.core.terms import Role
from tests.builders import Api, Built, at, build_practice, ok, refused
from tests.sessions.assessment.test_consent_and_sessions import WHOLE, told
from tests.sessions.booking.http import body, key
from tests.sessions.people import reviewed, tell

pytestmark = pytest.mark.django_db
BIRTHDAY = "2026-04-10"
MINOR = {"given_name": "Noa", "family_name": "Lind", "birth_date": "2008-04-10"}
GUARDIAN = {
    **WHOLE,
    "signer": "guardian",
    "guardian_name": "Ruth Lind",
    "guardian_relation": "parent",
    "until": "2027-03-01",
}


@pytest.fixture(autouse=True)
def _noon() -> Iterator[None]:
    with clock.at(at("2026-03-02T12:00:00-05:00")):
        yield


@pytest.fixture
def built() -> Built:
    return build_practice()


@pytest.fixture
def desk(built: Built) -> Api:
    return built.api(Role.FRONT_DESK)


@pytest.fixture
def minor(built: Built, desk: Api) -> UUID:
    client = UUID(ok(desk.post("clients", MINOR), 201)["id"])
    tell(built, client, reviewed())
    return client


def book(desk: Api, built: Built, client: UUID, day: str, **more: Any) -> Any:
    sent = body(built, client, f"{day}T10:00:00-04:00", **more)
    return desk.post("sessions", sent, key=key())


def consented(desk: Api, client: UUID, given: dict[str, Any]) -> dict[str, Any]:
    answer: dict[str, Any] = ok(desk.post(f"clients/{client}/touch-consent", given), 201)
    return answer


def codes(reasons: Any) -> set[str]:
    return {one["code"] for one in reasons}


def test_a_guardians_consent_says_until_when_and_why_no_longer(desk: Api, minor: UUID) -> None:
    refused(desk.post(f"clients/{minor}/touch-consent", WHOLE), 400, "invalid")
    given = consented(desk, minor, GUARDIAN)
    assert given["until"] == "2026-04-09", "the day before the birthday"
    (warning,) = (one for one in given["warnings"] if one["code"] == "consent.guardian_until")
    assert "2026-04-09" in warning["text"]
    short = consented(desk, minor, {**GUARDIAN, "until": "2026-04-01"})
    assert "consent.guardian_until" not in codes(short["warnings"]), "it ends before by itself"
    young = {**MINOR, "birth_date": "2010-04-10", "given_name": "Ida"}
    other = UUID(ok(desk.post("clients", young), 201)["id"])
    early = consented(desk, other, {**GUARDIAN, "until": "2026-04-09"})
    assert "consent.guardian_until" not in codes(early["warnings"]), "sixteen is not of age"


def test_hands_on_is_booked_to_the_last_day_and_no_further(
    built: Built, desk: Api, minor: UUID
) -> None:
    consented(desk, minor, GUARDIAN)
    last = ok(book(desk, built, minor, "2026-04-09"), 201)
    assert last["hands_on"] == "all"
    assert "consent.ends_soon" in codes(last["warnings"])
    later = ok(book(desk, built, minor, BIRTHDAY), 201)
    assert later["hands_on"] == "nothing"
    assert "consent.expired" in codes(later["reasons"])
    answer = book(desk, built, minor, "2026-04-11", requested_mode="hands_on")
    assert answer.status_code == 409


def test_sessions_past_the_birthday_are_flagged_when_a_guardian_consents_instead(
    built: Built, desk: Api, minor: UUID
) -> None:
    """They were planned by a proof that the client is married; then a guardian consents."""
    consented(desk, minor, {**WHOLE, "adult_proof": "marriage certificate"})
    days = ("2026-04-09", BIRTHDAY)
    before, after = (ok(book(desk, built, minor, day), 201)["id"] for day in days)
    given = consented(desk, minor, GUARDIAN)
    assert told(given) == [(before, "all", "all", False), (after, "all", "nothing", True)]
    assert codes(given["sessions"][1]["reasons"]) == {"consent.expired", "consent.guardian_ended"}
    flagged = ok(desk.get("sessions", {"flagged": "true"}))["results"]
    assert [one["id"] for one in flagged] == [after]


def test_a_birth_date_put_right_flags_what_the_client_signed_alone(built: Built, desk: Api) -> None:
    client = UUID(ok(desk.post("clients", {**MINOR, "birth_date": "1998-04-10"}), 201)["id"])
    tell(built, client, reviewed())
    consented(desk, client, WHOLE)
    session = ok(book(desk, built, client, "2026-03-09"), 201)
    assert session["hands_on"] == "all"
    version = ok(desk.get(f"clients/{client}"))["version"]
    ok(desk.patch(f"clients/{client}", {"birth_date": "2008-04-10"}, match=version))
    found = ok(desk.get(f"sessions/{session['id']}"))
    assert (found["flagged"], found["hands_on"]) == (True, "nothing")
    assert "consent.minor" in codes(found["flag_reasons"])


def test_a_higher_age_of_the_jurisdiction_ends_it_later(
    built: Built, desk: Api, minor: UUID
) -> None:
    row = {
        "jurisdiction": "US-PA",
        "years": 19,
        "effective_from": "2024-01-01",
        "source": "made up for tests",
        "verified_on": "2026-02-01",
    }
    ok(built.api(Role.OWNER).post("consent-ages", row), 201)
    given = consented(desk, minor, GUARDIAN)
    assert given["until"] == "2027-03-01", "the birthday lies after it"
    assert ok(book(desk, built, minor, BIRTHDAY), 201)["hands_on"] == "all"


def guardian_until(desk: Api, client: UUID, until: str | None, name: str = "Ruth Lind") -> None:
    """Note on the client's record until when somebody is guardian."""
    version = ok(desk.get(f"clients/{client}"))["version"]
    named = {"name": name, "relation": "parent", "until": until}
    ok(desk.patch(f"clients/{client}", {"guardian": named}, match=version))


def test_a_guardianship_that_ends_takes_its_consent_with_it(
    built: Built, desk: Api, minor: UUID
) -> None:
    """Common practice, no source: nobody consents for a day on which they are guardian no more."""
    consented(desk, minor, GUARDIAN)
    days = ("2026-03-20", "2026-03-21")
    last, after = (ok(book(desk, built, minor, day), 201)["id"] for day in days)
    guardian_until(desk, minor, "2026-03-20")
    shown = ok(desk.get(f"clients/{minor}/touch-consent"))
    assert shown["until"] == shown["grants"][0]["until"] == "2026-03-20"
    (warning,) = (one for one in shown["warnings"] if one["code"] == "consent.guardianship_ends")
    assert "2026-03-20" in warning["text"]
    assert "2026-04-09" in warning["text"], "what the consent itself says"
    assert "2026-03-20" in ok(desk.get(f"clients/{minor}/at-a-glance"))["consent"]["sentence"]
    found = {one: ok(desk.get(f"sessions/{one}")) for one in (last, after)}
    assert [(one["hands_on"], one["flagged"]) for one in found.values()] == [
        ("all", False),
        ("nothing", True),
    ]
    assert codes(found[after]["flag_reasons"]) == {"consent.expired"}
    answer = book(desk, built, minor, "2026-03-24", requested_mode="hands_on")
    assert answer.status_code == 409


@pytest.mark.parametrize(
    ("until", "name", "expected"),
    [
        ("2026-03-01", "ruth  lind", "2026-03-01"),  # over already, and still the same person
        (None, "Ruth Lind", "2026-04-09"),
        ("2026-05-01", "Ruth Lind", "2026-04-09"),  # later than the consent itself
        ("2026-03-20", "Paul Lind", "2026-04-09"),  # of another person it says nothing
    ],
)
def test_the_day_of_a_guardian_is_that_of_their_own_consent(
    desk: Api, minor: UUID, until: str | None, name: str, expected: str
) -> None:
    consented(desk, minor, GUARDIAN)
    guardian_until(desk, minor, until, name)
    assert ok(desk.get(f"clients/{minor}/touch-consent"))["until"] == expected
    assert not compare().differences


def test_a_slip_in_the_day_of_a_guardian_is_put_right(desk: Api, minor: UUID) -> None:
    consented(desk, minor, GUARDIAN)
    guardian_until(desk, minor, "2025-03-20")
    assert not ok(desk.get(f"clients/{minor}/touch-consent"))["in_force"]
    guardian_until(desk, minor, "2026-03-20")
    shown = ok(desk.get(f"clients/{minor}/touch-consent"))
    assert (shown["until"], shown["in_force"]) == ("2026-03-20", True)


def test_a_client_who_signs_alone_is_not_bound_by_a_guardian(desk: Api, minor: UUID) -> None:
    consented(desk, minor, {**WHOLE, "adult_proof": "marriage certificate"})
    before = ok(desk.get(f"clients/{minor}/touch-consent"))["until"]
    guardian_until(desk, minor, "2026-03-20")
    assert ok(desk.get(f"clients/{minor}/touch-consent"))["until"] == before
