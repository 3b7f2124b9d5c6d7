"""Why something was allowed three weeks ago (ruling 55), and what narrows on the day (48)."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from clients.consent.domain.events import ConsentRecorded
from clients.health.domain.content import BodySite
from practice.clock import clock
from practice.core.events import DatedEvent
from practice.core.terms import Credential, Region, Role, Side, Technique
from practice.people_and_places.models.practitioners import Licence
from practice.policy.models import PracticeSetting
from sessions.calendar.models import Session
from sessions.stretches.domain.events import StretchPrescribed
from sessions.stretches.domain.state import STRETCHES
from tests.builders import Built, build_practice, ok, refused
from tests.sessions.booking.http import WELL, body, book, key, local
from tests.sessions.people import consent, doing, open_client, tell

pytestmark = pytest.mark.django_db

STRETCH = "flexion_pattern"


@pytest.fixture
def built() -> Built:
    return build_practice()


def prescribe(built: Built, client_id: UUID, side: Side = Side.BOTH) -> None:
    """The client is on one stretch of the arm, by all techniques."""
    made = StretchPrescribed(
        prescription_id=uuid4(),
        stretch=STRETCH,
        name="Flexion",
        catalogue_version=1,
        side=side,
        techniques=tuple(Technique),
        doses=(),
        movements=(),
    )
    doing(built, lambda uow: uow.execute(client_id, (STRETCHES,), lambda _s, _c: [made]))


def without_right_arm() -> ConsentRecorded:
    """Consent for everywhere but the right arm and shoulder."""
    closed = {(Region.ARM, Side.RIGHT), (Region.SHOULDER, Side.RIGHT)}
    sides = (Side.LEFT, Side.RIGHT)
    return consent(
        sites=tuple(
            BodySite(region=region, side=side)
            for region in Region
            for side in sides
            if (region, side) not in closed
        )
    )


def codes(found: Any) -> set[str]:
    return {one["code"] for one in found}


def kept(built: Built, session_id: str, **query: Any) -> list[dict[str, Any]]:
    answer = built.api(Role.PRACTITIONER).get(f"sessions/{session_id}/kept-permissions", query)
    results: list[dict[str, Any]] = ok(answer)["results"]
    return results


def test_a_closed_side_flags_the_session_and_the_answer_says_part(built: Built) -> None:
    client = open_client(built)
    prescribe(built, client)
    session = book(built, client, local(3), requested_mode="hands_on")
    assert (session["mode"], session["hands_on"], session["closed"]) == ("hands_on", "all", [])
    tell(built, client, without_right_arm())
    shown = ok(built.api(Role.PRACTITIONER).get(f"sessions/{session['id']}"))
    assert (shown["flagged"], shown["mode"], shown["hands_on"]) == (True, "hands_on", "part")
    assert {side for one in shown["narrowed"] for some in one["of"] for side in some["sides"]} == {
        "right"
    }
    assert {code for one in shown["narrowed"] for code in codes(one["reasons"])}
    desk = ok(built.api(Role.FRONT_DESK).get(f"sessions/{session['id']}"))
    assert (desk["hands_on"], desk["narrowed"], desk["closed"]) == ("part", [], [])


def test_what_is_not_on_the_programme_flags_nothing(built: Built) -> None:
    client = open_client(built)
    prescribe(built, client, Side.LEFT)
    session = book(built, client, local(3))
    tell(built, client, without_right_arm())
    assert not Session.objects.get(pk=session["id"]).flagged


def test_a_part_that_is_closed_is_said_when_it_is_booked(built: Built) -> None:
    client = open_client(built)
    tell(built, client, without_right_arm())
    prescribe(built, client)
    session = book(built, client, local(3), requested_mode="hands_on")
    assert (session["planned_mode"], session["hands_on"]) == ("hands_on", "part")
    assert "part_hands_on" in codes(session["warnings"])
    prescribed_only = open_client(built)
    tell(built, prescribed_only, without_right_arm())
    prescribe(built, prescribed_only, Side.RIGHT)
    sent = body(built, prescribed_only, local(4), requested_mode="hands_on")
    refused(built.api(Role.OWNER).post("sessions", sent, key=key()), 409, "not_hands_on")


def test_a_red_flag_on_arrival_is_among_the_flagged_until_it_is_cleared(
    built: Built,
) -> None:
    client = open_client(built)
    now = clock.now().replace(second=0, microsecond=0)
    api = built.api(Role.PRACTITIONER)
    morning = book(built, client, (now + timedelta(minutes=30)).isoformat())
    later = book(built, client, (now + timedelta(minutes=120)).isoformat())
    ill = {**WELL, "new_symptoms": ["hot_red_or_blotchy_limb"]}
    ok(api.post(f"sessions/{morning['id']}/arrival", ill))
    flagged = ok(api.get("sessions", {"flagged": "true"}))["results"]
    # It stands until it is cleared (ruling 49): so too where the later one is after midnight.
    assert {one["id"] for one in flagged} == {morning["id"], later["id"]}
    row = Session.objects.get(pk=morning["id"])
    assert (row.mode, row.hands_on, row.flag_cause) == ("not_today", "nothing", "session.arrived")
    cleared = {"red_flag": "hot_red_or_blotchy_limb", "found": "Sunburn, cool and dry."}
    ok(api.post(f"sessions/{morning['id']}/red-flag-clearance", cleared))
    for one in (morning, later):
        row = Session.objects.get(pk=one["id"])
        assert (row.flagged, row.mode, row.hands_on) == (False, "hands_on", "all")


def test_a_no_to_hands_on_flags_and_a_corrected_answer_ends_the_flag(built: Built) -> None:
    client = open_client(built)
    now = clock.now().replace(second=0, microsecond=0)
    session = book(built, client, (now + timedelta(minutes=30)).isoformat())
    api, path = built.api(Role.PRACTITIONER), f"sessions/{session['id']}/arrival"
    ok(api.post(path, {**WELL, "hands_on_today": "no"}))
    row = Session.objects.get(pk=session["id"])
    assert (row.flagged, row.mode, row.hands_on) == (True, "self_directed", "nothing")
    ok(api.post(path, WELL))
    row = Session.objects.get(pk=session["id"])
    assert (row.flagged, row.mode, row.hands_on) == (False, "hands_on", "all")


def test_answers_that_narrow_nothing_flag_nothing(built: Built) -> None:
    client = open_client(built)
    now = clock.now().replace(second=0, microsecond=0)
    session = book(built, client, (now + timedelta(minutes=30)).isoformat())
    ok(built.api(Role.PRACTITIONER).post(f"sessions/{session['id']}/arrival", WELL))
    assert not Session.objects.get(pk=session["id"]).flagged


def test_a_flag_of_before_stands_when_the_flag_of_the_day_ends(built: Built) -> None:
    client = open_client(built)
    prescribe(built, client)
    now = clock.now().replace(second=0, microsecond=0)
    session = book(built, client, (now + timedelta(minutes=30)).isoformat())
    tell(built, client, without_right_arm())
    api = built.api(Role.PRACTITIONER)
    ill = {**WELL, "hands_on_today": "no"}
    ok(api.post(f"sessions/{session['id']}/arrival", ill))
    assert Session.objects.get(pk=session["id"]).mode == "self_directed"
    ok(api.post(f"sessions/{session['id']}/arrival", WELL))
    row = Session.objects.get(pk=session["id"])
    assert (row.flagged, row.mode, row.hands_on) == (True, "hands_on", "part")
    assert row.flag_cause == "consent.recorded"


def test_an_arrived_session_narrows_too_until_it_is_over(built: Built) -> None:
    client = open_client(built)
    now = clock.now().replace(second=0, microsecond=0)
    session = book(built, client, (now + timedelta(minutes=30)).isoformat())
    ok(built.api(Role.PRACTITIONER).post(f"sessions/{session['id']}/arrival", WELL))
    tell(built, client, without_right_arm())
    row = Session.objects.get(pk=session["id"])
    assert (row.flagged, row.flag_cause) == (True, "consent.recorded")


def test_a_session_tells_by_what_it_was_allowed(built: Built) -> None:
    client = open_client(built)
    now = clock.now().replace(second=0, microsecond=0)
    session = book(built, client, (now + timedelta(minutes=30)).isoformat())
    api = built.api(Role.PRACTITIONER)
    ok(api.post(f"sessions/{session['id']}/arrival", WELL))
    ok(api.post(f"sessions/{session['id']}/opening", {}))
    found = kept(built, session["id"])
    assert [one["event"] for one in found] == [
        "session.booked",
        "session.arrived",
        "session.opened",
    ]
    for one in found:
        assert {row["kind"] for row in one["rows"]} == {"licence", "sign_off", "limit"}
        assert all(row["text"] for row in one["rows"])
        assert set(one["settings"]) == {"permissions", "supervision"}
        assert one["consent_id"]
        outcomes = {
            (stretch, technique, side): group["mode"]
            for group in one["stretches"]
            for some in group["of"]
            for stretch in some["stretches"]
            for technique in some["techniques"]
            for side in some["sides"]
        }
        assert outcomes[STRETCH, "passive", "left"] == "hands_on"
    until = found[0]["recorded_at"]
    assert [one["event"] for one in kept(built, session["id"], known_at=until)] == [
        "session.booked"
    ]
    refused(
        built.api(Role.FRONT_DESK).get(f"sessions/{session['id']}/kept-permissions"),
        403,
        "forbidden",
    )


def test_a_licence_reads_as_it_stood_then_though_it_was_corrected_since(built: Built) -> None:
    session = book(built, open_client(built), local(3))
    before = kept(built, session["id"])[0]
    licence = next(row for row in before["rows"] if row["kind"] == "licence")
    row = Licence.objects.get(pk=licence["id"])
    path = f"practitioners/{row.practitioner_id}/licences/{row.pk}"
    ok(built.api(Role.OWNER).change(path, {"number": "PT-NEW-1"}))
    after = kept(built, session["id"])[0]
    assert next(one for one in after["rows"] if one["kind"] == "licence") == licence
    assert row.number in licence["text"]


def test_the_settings_of_a_kept_revision_can_be_read(built: Built) -> None:
    session = book(built, open_client(built), local(3))
    revision = kept(built, session["id"])[0]["settings"]["permissions"]
    setting = PracticeSetting.objects.get(group="permissions", key="fatigue_warning")
    owner = built.api(Role.OWNER)
    change = {"value": 6, "citation": "practice policy of today"}
    path = f"settings/{setting.pk}"
    ok(owner.patch(path, change, match=setting.revision))
    ok(owner.patch(path, {**change, "value": 5}, match=setting.revision + 1))

    def value(of: int) -> Any:
        api = built.api(Role.PRACTITIONER)
        found = ok(api.get(f"settings/permissions/revisions/{of}"))["settings"]
        return {one["key"]: one["value"] for one in found}["fatigue_warning"]

    assert [value(revision + more) for more in (0, 1, 2)] == [setting.value, 6, 5]
    for missing in (f"permissions/revisions/{revision + 3}", "nothing/revisions/1"):
        refused(owner.get(f"settings/{missing}"), 404, "not_found")


def test_permissions_are_asked_for_as_known_at_an_instant(built: Built) -> None:
    client = open_client(built)
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    owner = built.api(Role.OWNER)
    before = clock.now()
    query = {"practitioner_id": str(paula.pk), "facility_id": str(built.east.pk), "form": "long"}
    path = f"clients/{client}/permissions"
    tell(built, client, DatedEvent(without_right_arm(), before - timedelta(days=1)))
    licence = Licence.objects.get(practitioner=paula, jurisdiction="US-PA")
    # Over in every zone: the facility's day may be the day before that of UTC.
    ended = (clock.now().date() - timedelta(days=2)).isoformat()
    ok(owner.change(f"practitioners/{paula.pk}/licences/{licence.pk}", {"expires_on": ended}))
    now = ok(owner.get(path, query))
    assert now["hands_on_planned"] == "nothing"
    assert "law.licence" in codes(now["reasons"])
    then = ok(owner.get(path, {**query, "known_at": before.isoformat()}))
    assert then["hands_on_planned"] == "all", "neither the consent nor the licence was known to end"
