"""A move that leaves less than was planned says so, and the client is called."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from clients.consent.domain.events import ConsentWithdrawn
from practice.clock import clock
from practice.core.terms import Credential, Gender, Role
from sessions.calendar.models import Session
from tests.builders import Built, ok
from tests.sessions.absences.http import DAY, booked, move_all, olga, recorded, to_call
from tests.sessions.booking.http import key
from tests.sessions.people import open_client, prefers, tell
from tests.sessions.series.http import NOW, held_practice

pytestmark = pytest.mark.django_db
NARROWED = "narrowed_by_move"


@pytest.fixture
def built() -> Iterator[Built]:
    """The trainer works in the east too, where trainers do not stretch by hand."""
    with clock.at(NOW):
        practice = held_practice()
        practice.practitioners[Credential.PERSONAL_TRAINER].facilities.add(practice.east)
        yield practice


def tessa(built: Built) -> str:
    return str(built.practitioners[Credential.PERSONAL_TRAINER].pk)


def codes(reasons: list[dict[str, Any]]) -> list[str]:
    return [one["code"] for one in reasons]


def move(built: Built, session: str, **sent: Any) -> dict[str, Any]:
    row = Session.objects.get(pk=session)
    asked = {"reason": "The practitioner is ill.", **sent}
    path = f"sessions/{session}/move"
    done: dict[str, Any] = ok(
        built.api(Role.FRONT_DESK).post(path, asked, key=key(), match=row.version)
    )
    return done


def called(built: Built) -> list[str]:
    return [one["text"] for one in to_call(built) if one["reason"] == "session_narrowed"]


def test_a_move_to_someone_who_may_not_by_hand_says_so_and_why(built: Built) -> None:
    session = booked(built, open_client(built))
    done = move(built, session, practitioner_id=tessa(built))
    assert (done["mode"], done["flagged"]) == ("self_directed", True)
    found = codes(done["warnings"])
    assert NARROWED in found
    assert "law.not_allowed" in found
    (text,) = called(built)
    assert (
        text == f"The session on {DAY} at 10:00 narrowed when it was moved: nothing hands-on now."
    )


def test_what_was_never_by_hand_is_not_called_narrowed_by_its_move(built: Built) -> None:
    """Rebooked by a move to where nothing at all can be done: no hands-on work was lost."""
    session = booked(built, open_client(built), requested_mode="self_directed")
    row = Session.objects.get(pk=session)
    groups = [{"was": "self_directed", "mode": "not_today", "reasons": [], "of": []}]
    Session.objects.filter(pk=session).update(
        flagged=True,
        flagged_at=row.evaluated_at,
        flag_cause="session.moved",
        narrowed=groups,
    )
    (text,) = called(built)
    assert text.endswith(
        "was planned without hands-on work, and less can be done in it since it was moved."
    )


@pytest.mark.parametrize("cause", ["session.moved", "consent.withdrawn"])
def test_what_was_by_hand_before_an_earlier_move_is_called_narrowed(
    built: Built, cause: str
) -> None:
    session = booked(built, open_client(built), requested_mode="self_directed")
    row = Session.objects.get(pk=session)
    groups = [{"was": "self_directed", "mode": "not_today", "reasons": [], "of": []}]
    Session.objects.filter(pk=session).update(
        flagged=True,
        flagged_at=row.evaluated_at,
        flag_cause=cause,
        narrowed=groups,
        first_mode="hands_on",
    )
    (text,) = called(built)
    assert "narrowed" in text


def test_whom_the_client_prefers_not_is_said_in_the_reasons_of_the_plan(built: Built) -> None:
    session = booked(built, open_client(built))
    prefers_not = [{"code": "preference.all_work", "text": "Prefers a man.", "source": "a test"}]
    row = Session.objects.filter(pk=session)
    flagged = {"flagged": True, "flagged_at": row.get().evaluated_at}
    row.update(**flagged, mode="not_today", reasons=prefers_not)
    (text,) = called(built)
    assert "may not be held with Paula, by the client's own preference" in text
    row.update(mode="self_directed")
    assert "may not be held" not in called(built)[0]


def test_whom_the_client_prefers_not_is_said_though_another_flag_came_first(built: Built) -> None:
    """A session that may not be held with the practitioner is to be rebooked, whatever else."""
    client = open_client(built)
    booked(built, client)
    tell(built, client, ConsentWithdrawn(consent_id=None))
    tell(built, client, prefers(gender=Gender.MAN))
    (text,) = called(built)
    assert "may not be held with Paula, by the client's own preference" in text
    assert "narrowed" not in text


def test_a_move_that_narrows_nothing_says_nothing(built: Built) -> None:
    session = booked(built, open_client(built))
    done = move(built, session, practitioner_id=olga(built))
    assert (done["mode"], done["flagged"]) == ("hands_on", False)
    assert NARROWED not in codes(done["warnings"])
    assert called(built) == []


@pytest.mark.parametrize("planned", ["hands_on", "self_directed"])
def test_what_was_asked_for_or_planned_so_is_no_news(built: Built, planned: str) -> None:
    session = booked(built, open_client(built), requested_mode=planned)
    asked = {"requested_mode": "self_directed"} if planned == "hands_on" else {}
    done = move(built, session, practitioner_id=tessa(built), **asked)
    assert (done["mode"], done["flagged"]) == ("self_directed", False)
    assert NARROWED not in codes(done["warnings"])


def test_each_of_several_moves_says_what_it_may_be_now(built: Built) -> None:
    first, second = (booked(built, open_client(built), one) for one in ("09:00", "11:00"))
    absence = recorded(built)
    moves = (
        {"session_id": first, "practitioner_id": tessa(built)},
        {"session_id": second, "practitioner_id": olga(built)},
    )
    found = ok(move_all(built, absence, *moves))["outcomes"]
    assert [one["mode"] for one in found] == ["self_directed", "hands_on"]
    assert [NARROWED in codes(one["warnings"]) for one in found] == [True, False]
    assert len(called(built)) == 1
