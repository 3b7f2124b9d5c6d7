"""The sheet of a home exercise speaks to the client: second person, plain doses, usual cautions,
whom to call (issue 7, section D)."""

from __future__ import annotations

import re
from html import unescape
from typing import Any
from uuid import UUID

import msgspec
import pytest

from practice.core.terms import Credential, Role, Side, Technique
from practice.policy.models import Practice
from sessions.catalogue.domain.terms import Dose
from sessions.stretches.domain.dose_words import dose_sentences
from tests.builders import Built, ok
from tests.clients.permissions.shipped import contents, shipped
from tests.sessions.people import open_client
from tests.sessions.stretches.test_home_exercises import teach
from tests.tooling.test_neutral_texts import gendered_lines

THIRD_PERSON = re.compile(
    r"\b(clients?|patients?|practitioners?|therapists?|they|them|theirs?)\b",
    re.IGNORECASE,
)
SECOND_PERSON = re.compile(r"\byour?\b", re.IGNORECASE)
STYLE = re.compile(r"<[^>]+>")


def sheet(built: Built, client_id: UUID, made: Any) -> str:
    """The words of a sheet, without its marks."""
    api = built.api(Role.PRACTITIONER)
    page = api.get(f"clients/{client_id}/home-exercises/{made['id']}/printout")
    assert page.status_code == 200
    return " ".join(unescape(STYLE.sub(" ", page.content.decode())).split())


@pytest.mark.parametrize("code", sorted(contents()))
def test_every_sheet_speaks_to_the_client_and_of_nobody_else(built: Built, code: str) -> None:
    client_id = open_client(built)
    side = shipped(code).sides[0]
    text = sheet(built, client_id, teach(built, client_id, stretch=code, side=side))
    assert THIRD_PERSON.findall(text) == []
    assert list(gendered_lines(text)) == []
    assert len(SECOND_PERSON.findall(text)) > 3
    for step in contents()[code].at_home:
        assert step in text
    assert ("With your left side." in text) is (side is Side.LEFT)
    assert "right side" not in text


@pytest.mark.parametrize("code", sorted(contents()))
def test_every_shipped_stretch_has_steps_for_the_client(code: str) -> None:
    steps = contents()[code].at_home
    assert len(steps) >= 2
    assert not [one for one in steps if THIRD_PERSON.search(one) or not one.endswith(".")]


def test_it_says_who_gave_it_when_to_stop_and_whom_to_call(built: Built) -> None:
    Practice.objects.update(name="Harbor practice", phone="+14155550100")
    client_id = open_client(built)
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST].name
    made = teach(built, client_id, stop_signs=["sharp pain"], assigned_on="2026-03-09")
    text = sheet(built, client_id, made)
    assert f"Given to you on 9 March 2026 by {paula}, Harbor practice." in text
    assert "Stop, and call us, when you notice sharp pain" in text
    for sign in ("dizzy", "pain begins or gets worse", "new swelling", "chest pain"):
        assert sign in text
    assert "Call us: Harbor practice, +14155550100." in text
    assert "What your surgeon or physician told you comes before this sheet." in text


def test_what_was_written_about_the_client_is_not_on_it(built: Built) -> None:
    client_id, api = open_client(built), built.api(Role.PRACTITIONER)
    made = teach(built, client_id)
    path = f"clients/{client_id}/home-exercises/{made['id']}"
    ok(api.post(f"{path}/discontinuation", {"reason": "The client has new swelling."}))
    text = sheet(built, client_id, made)
    assert "do not do it any more. Ask us what you can do instead." in text
    assert THIRD_PERSON.findall(text) == []
    assert contents()["abduction_pattern"].cues[-1] not in text


def test_a_stretch_of_the_practices_own_without_words_for_home_says_so(built: Built) -> None:
    content = {**_raw("triceps"), "at_home": []}
    ok(built.api(Role.OWNER).patch("stretch-catalogue/triceps", {"content": content}, match=1))
    client_id = open_client(built)
    text = sheet(built, client_id, teach(built, client_id, stretch="triceps"))
    assert "Do it the way we showed you. If you are not sure any more, ask us first." in text
    assert "With your right side." in text


def _raw(code: str) -> dict[str, Any]:
    found: dict[str, Any] = msgspec.to_builtins(contents()[code])
    return found


@pytest.mark.parametrize(
    ("dose", "said"),
    [
        ({}, ["Do it 10 times.", "Hold each one for 2 seconds."]),
        ({"repetitions": 1, "hold_seconds": 1}, ["Do it once.", "Hold it for 1 second."]),
        ({"repetitions": 2, "hold_seconds": 0}, ["Do it twice.", "Do not hold; keep moving."]),
        ({"sets": 2}, ["Rest, and do 2 rounds in all."]),
        ({"days_per_week": 1}, ["Do this on 1 day of the week."]),
        ({"days_per_week": 3}, ["Do this on 3 days of the week."]),
        ({"days_per_week": 6}, ["Do this on 6 days of the week."]),
        ({"days_per_week": 7}, ["Do this every day."]),
    ],
)
def test_a_dose_is_said_in_plain_words(dose: dict[str, Any], said: list[str]) -> None:
    values = {"repetitions": 10, "hold_seconds": 2, **dose}
    found = dose_sentences(Dose(technique=Technique.ACTIVE_ISOLATED, **values))
    assert found[-len(said) :] == said
    assert ("rounds" in " ".join(found)) is (dose.get("sets", 1) > 1)
    assert ("Do this" in " ".join(found)) is ("days_per_week" in dose)
