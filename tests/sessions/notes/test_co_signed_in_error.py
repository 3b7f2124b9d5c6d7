"""A note entered in error takes its co-signature with it: the next one is judged by itself."""

from __future__ import annotations

from typing import Any

import pytest

from practice.audit.rebuild import compare
from practice.core.terms import Role
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import key
from tests.sessions.notes.co_signing import CoSigning
from tests.sessions.notes.http import line

pytestmark = pytest.mark.django_db


@pytest.fixture
def under(db: None) -> CoSigning:
    return CoSigning.furnished(build_practice())


def enter_in_error(under: CoSigning) -> Any:
    """The note of the session, while its session stands."""
    api, path = under.phone.api, f"{under.phone.path}/entered-in-error"
    body = {"reason": "Written for another session."}
    return api.post(path, body, match=under.read(api)["version"], key=key())


def awaited(built: Built) -> list[str]:
    found = ok(built.api(Role.OWNER).get("notes/awaiting-co-signature"))["results"]
    return [one["session_id"] for one in found]


def test_one_that_waits_leaves_the_list(under: CoSigning) -> None:
    under.sign()
    assert awaited(under.built) == [under.session_id]
    ok(enter_in_error(under))
    under.phone.read()
    assert awaited(under.built) == []


def test_a_note_without_work_by_hand_in_its_place_waits_for_nobody(under: CoSigning) -> None:
    under.sign()
    ok(enter_in_error(under))
    under.phone.read()
    signed = under.sign(lines=[line(mode="self_directed")])
    assert signed["co_signature"]["status"] == "not_required"
    refused(under.co_sign(), 409, "co_signature_not_required")
    assert compare().differences == []


def test_the_co_signature_of_the_first_is_none_of_the_second(under: CoSigning) -> None:
    under.sign()
    ok(under.co_sign(), 201)
    ok(enter_in_error(under))
    under.phone.read()
    signed = under.sign()
    assert signed["co_signature"]["status"] == "waiting"
    assert awaited(under.built) == [under.session_id]
    ok(under.co_sign(), 201)
    assert compare().differences == []
