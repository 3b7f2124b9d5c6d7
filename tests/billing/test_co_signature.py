"""The draw of a note waits for its co-signature (ruling 43)."""

from __future__ import annotations

from typing import Any

import pytest

from billing.authorizations.domain.terms import UncoveredReason
from practice.audit.rebuild import compare
from practice.eventstore.models import StoredEvent
from sessions.calendar.models import Session
from tests.billing.test_api_sessions import authorize
from tests.billing.world import World
from tests.builders import ok
from tests.sessions.booking.http import WELL, book, key, local
from tests.sessions.notes.co_signing import CoSigning
from tests.sessions.notes.http import Device, line, whole_note

pytestmark = pytest.mark.django_db

WAITS = UncoveredReason.AWAITING_CO_SIGNATURE.value
MINUTES = {"stretching": 38, "cardio": 12}


@pytest.fixture
def world(db: None) -> World:
    return World()


@pytest.fixture
def under(world: World) -> CoSigning:
    """A session of a client whose notes the supervisor co-signs by the practice's own rule."""
    made = CoSigning.furnished(world.built, law=False, co_signs=True)
    world.client_id = Session.objects.get(pk=made.session_id).client_id
    return made


def calculated(world: World) -> int:
    """How often visits of the client were calculated."""
    rows = StoredEvent.objects.filter(stream=world.client_id, type="visit.calculated")
    return rows.count()


def why(visit: dict[str, Any]) -> list[str]:
    """Why something of a visit is not covered."""
    return [one["code"] for one in visit["reasons"]]


def used(world: World, made: dict[str, Any]) -> tuple[int, int]:
    """Visits left and units used of an authorization."""
    now = ok(world.desk.get(f"authorizations/{made['id']}"))
    return now["visits_left"], now["units_used"]


def test_nothing_is_drawn_until_the_co_signature_and_then_what_a_signature_draws(
    world: World, under: CoSigning
) -> None:
    made = authorize(world)
    under.sign(minutes=MINUTES)
    (visit,) = world.visits()
    assert (visit["covered"], why(visit), visit["used_units"]) == (
        "not_covered",
        [WAITS],
        {},
    )
    assert used(world, made) == (10, 0)
    assert calculated(world) == 1, "nothing was drawn and given back in between"
    assert [one["id"] for one in world.visits(reason=WAITS)] == [visit["id"]]
    assert ok(world.billing.get("coverable-visits"))["visits"] == []
    ok(under.co_sign(), 201)
    (drawn,) = world.visits()
    assert (drawn["id"], drawn["used_units"]) == (visit["id"], {"STR15": 2, "CAR15": 1})
    assert (drawn["covered"], why(drawn)) == ("covered", [])
    assert used(world, made) == (9, 3)
    assert calculated(world) == 2
    assert world.visits(reason=WAITS) == []
    assert compare().differences == []


def test_a_return_draws_nothing_and_a_return_after_a_co_signature_takes_nothing_back(
    world: World, under: CoSigning
) -> None:
    made = authorize(world)
    under.sign(minutes=MINUTES)
    ok(under.give_back())
    under.add("Answered.")
    assert used(world, made) == (10, 0)
    ok(under.co_sign(), 201)
    assert used(world, made) == (9, 3)
    under.add("Cardio was 25 minutes.", corrected_minutes={"cardio": 22}, not_counted_minutes=0)
    assert used(world, made) == (9, 4), "corrected minutes count at once"
    ok(under.give_back("Why 22?"))
    assert used(world, made) == (9, 4)


def test_minutes_corrected_while_it_waits_count_at_the_co_signature(
    world: World, under: CoSigning
) -> None:
    made = authorize(world)
    under.sign(minutes=MINUTES)
    under.add("Cardio was 22 minutes.", corrected_minutes={"cardio": 22}, not_counted_minutes=0)
    assert used(world, made) == (10, 0)
    ok(under.co_sign(), 201)
    assert used(world, made) == (9, 4)


def test_work_by_hand_that_an_addendum_brings_gives_the_draw_back_until_it_is_co_signed(
    world: World,
) -> None:
    """Of what nobody is to co-sign the draw does not wait; then the note does."""
    under = CoSigning.furnished(world.built)
    world.client_id = Session.objects.get(pk=under.session_id).client_id
    made = authorize(world)
    under.sign(minutes=MINUTES, lines=[line(mode="self_directed")])
    assert used(world, made) == (9, 3)
    saved = under.phone.save(lines=[line()])
    under.add("One more, by hand.", send_unsent=saved["revision"])
    assert used(world, made) == (10, 0)
    assert [why(one) for one in world.visits()] == [[WAITS]]
    ok(under.co_sign(), 201)
    assert used(world, made) == (9, 3)


def test_the_rest_of_the_day_is_drawn_while_one_note_waits(world: World, under: CoSigning) -> None:
    """Two sessions of one day and discipline: only what is final is drawn, and exported."""
    made = authorize(world)
    under.sign(minutes=MINUTES)
    sol = _other_therapist_signs(world, under)
    (visit,) = world.visits()
    assert (visit["covered"], why(visit)) == ("partly", [WAITS])
    assert visit["used_units"] == {"STR15": 2}
    assert used(world, made) == (9, 2)
    document = _export(world, made)
    assert {row["practitioner"] for row in document["rows"]} == {sol}
    assert [one["code"] for one in document["warnings"]] == ["notes_await_co_signature"]
    ok(under.co_sign(), 201)
    assert used(world, made) == (9, 5)


def test_an_export_leaves_out_a_visit_that_waits_and_says_so(
    world: World, under: CoSigning
) -> None:
    made = authorize(world)
    under.sign(minutes=MINUTES)
    document = _export(world, made, no_visits=True)
    assert (document["rows"], document["totals"]["visits"]) == ([], 0)
    (told,) = [one for one in document["warnings"] if one["code"] == "notes_await_co_signature"]
    assert str(Session.objects.get(pk=under.session_id).local_date) in told["text"]
    ok(under.co_sign(), 201)
    now = _export(world, made)
    assert now["totals"]["units"] == 3
    reasons = {one["what"] for found in now["corrections"] for one in found["reasons"]}
    assert "a note was co-signed" in reasons


def test_without_an_authorization_the_list_says_both(world: World, under: CoSigning) -> None:
    under.sign(minutes=MINUTES)
    (visit,) = world.visits()
    assert why(visit) == ["no_authorization", WAITS]
    ok(under.co_sign(), 201)
    (visit,) = world.visits()
    assert why(visit) == ["no_authorization"]


def test_entered_in_error_before_the_co_signature_it_leaves_billings_list(
    world: World, under: CoSigning
) -> None:
    made = authorize(world)
    under.sign(minutes=MINUTES)
    path = f"sessions/{under.session_id}/entry-in-error"
    ok(under.phone.api.post(path, {"reason": "Another client."}, key=key()))
    assert world.visits() == []
    assert used(world, made) == (10, 0)


def _other_therapist_signs(world: World, under: CoSigning) -> str:
    """Two hours later Rosa gives the client 30 minutes of stretching and signs."""
    session = book(
        world.built,
        world.client_id,
        local(-1, 13),
        practitioner_id=str(under.rosa.pk),
        attendance="attended",
        answers=WELL,
    )
    device = Device(world.built, session["id"], "rosa")
    device.api = under.by()
    device.save(**whole_note(minutes={"stretching": 30}))
    ok(device.sign(), 201)
    return under.rosa.name


def _export(world: World, made: dict[str, Any], **more: Any) -> dict[str, Any]:
    sent = {"recipient": "Lakeshore claims", "purpose": "review", **more}
    path = f"authorizations/{made['id']}/visit-summary"
    made = ok(world.billing.post(path, sent, key=key()), 201)
    return {
        **ok(world.billing.get(made["href"], HTTP_ACCEPT="application/json")),
        "warnings": made["warnings"],
    }
