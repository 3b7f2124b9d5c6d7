"""Act 4: the practitioner reviews, takes the arrival answers, works, writes and signs."""

from __future__ import annotations

from typing import Any

from practice.demo.act_registering import HAND_TECHNIQUES, history
from practice.demo.callers import DemoResponse
from practice.demo.telling import DemoStory, new_id


def the_session(story: DemoStory) -> None:
    """From the review to the signed note and its addendum."""
    story.act(4, "The practitioner's session")
    _reviewed(story)
    _came(story)
    _opened(story)
    _written(story)
    _signed(story)


def _reviewed(story: DemoStory) -> None:
    path = f"/clients/{story['client']}"
    told = story.do(
        "practitioner",
        "GET",
        f"{path}/health-history",
        gives=200,
        means="the history as the desk was told it",
        check=lambda answer: len(answer["reports"]) == 1,
    )
    story.do(
        "practitioner",
        "POST",
        f"{path}/health-history/review",
        {**history(story), **ASKED, "occurred_at": story.before_visit(30)},
        gives=200,
        means="reviewed with the client before the session: neck asked, no clearance needed",
        match=told["version"],
    )
    story.do(
        "practitioner",
        "POST",
        f"{path}/orders",
        {
            "kind": "clearance",
            "prescriber": "surgeon",
            "prescriber_name": "Dr. Anouk Verhey",
            "given_on": story.day(-14),
            "subjects": ["stretching", "arm_above_shoulder"],
            "sites": [
                {"region": region, "side": "left"}
                for region in ("shoulder", "arm", "chest", "upper_back")
            ],
            "techniques": HAND_TECHNIQUES,
            "expires_on": story.day(160),
        },
        gives=201,
        means="the surgeon's clearance, which names techniques, sites and an end",
    )
    story.do(
        "front desk",
        "GET",
        f"{path}/health-history",
        gives=403,
        means="what was reviewed the front desk no longer reads",
    )


ASKED = {"neck": "none", "clearance_need": "not_needed"}


def _came(story: DemoStory) -> None:
    body = {
        "client_id": story["client"],
        "practitioner_id": story["Ines"],
        "facility_id": story["harbor"],
        "starts_at": story.before_visit(0),
        "minutes": 60,
        "attendance": "attended",
    }
    story.kept["visit"] = story.do(
        "front desk",
        "POST",
        "/sessions",
        body,
        gives=201,
        means="the client walked in earlier; entered now, self-directed until asked",
        key=new_id(),
    )["id"]
    story.do(
        "practitioner",
        "POST",
        f"/sessions/{story['visit']}/arrival",
        ARRIVAL,
        gives=200,
        means="the arrival answers: hands-on all right today, pain 2, no red flag, no needle in"
        " the port",
    )


ARRIVAL: dict[str, Any] = {
    "hands_on_today": "yes",
    "pain_now": 2,
    "usual_pain": 2,
    "feverish": False,
    "fever_c": 36.7,
    "swelling": [],
    "new_symptoms": [],
    "fatigue": 3,
    "needle_in_port": False,
}


def _opened(story: DemoStory) -> None:
    path = f"/clients/{story['client']}"
    for movement, degrees in (("shoulder_abduction", 138), ("shoulder_external_rotation", 62)):
        story.do(
            "practitioner",
            "POST",
            f"{path}/range-of-motion",
            reading(movement, degrees, at=story.ago(days=21)),
            gives=201,
            means=f"a reading of three weeks ago: {degrees}°",
        )
    story.kept["prescription"] = story.do(
        "practitioner",
        "POST",
        f"{path}/stretches",
        {"stretch": "abduction_pattern", "side": "left", "occurred_at": story.ago(days=21)},
        gives=201,
        means="the abduction pattern is prescribed to the client",
    )["id"]
    story.do(
        "practitioner",
        "POST",
        f"/sessions/{story['visit']}/opening",
        gives=200,
        means="the session is opened",
    )
    story.do(
        "practitioner",
        "GET",
        f"/sessions/{story['visit']}/plan",
        gives=200,
        means="what may be done hands-on, why not the rest, stretches, readings, the split",
        check=_plan_is_whole,
    )


def _plan_is_whole(answer: DemoResponse) -> bool:
    split = answer["split"]
    prescribed = [one for group in answer["programme"] for one in group["prescriptions"]]
    outcomes = [one for group in answer["programme"] for one in group["outcomes"]]
    return (
        "hands_on" in {one["mode"] for one in outcomes}
        and all(one.get("reasons") for one in outcomes if one["mode"] != "hands_on")
        and answer["other_stretches"]["hands_on"] > 0
        and sum(one["minutes"] for one in split["suggested"]) == split["booked_minutes"] == 60
        and len(prescribed) == 1
        and len(answer["readings"]) == 2
    )


def reading(movement: str, degrees: int, *, at: str | None = None, side: str = "left") -> Any:
    """An active reading with a goniometer, sitting."""
    body = {
        "movement": movement,
        "side": side,
        "motion": "active",
        "degrees": degrees,
        "position": "sitting",
        "instrument": "goniometer",
        "pain": 1,
    }
    return body if at is None else {**body, "occurred_at": at}


def _written(story: DemoStory) -> None:
    path = f"/sessions/{story['visit']}/note"
    line = {
        "line_id": new_id(),
        "stretch": "abduction_pattern",
        "technique": "active_isolated",
        "side": "left",
        "mode": "hands_on",
        "repetitions": 10,
        "hold_seconds": 2,
        "minute": 12,
        "response": "more at the end",
    }
    phone = {
        "device": "phone",
        "sequence": 1,
        "subjective": "Sleeps on that side again.",
        "lines": [line],
    }
    tablet = {"device": "tablet", "sequence": 1, "objective": "No hitching up to 140°."}
    do = story.do
    do(
        "practitioner",
        "PATCH",
        path,
        phone,
        gives=428,
        means="a draft needs the version it was read at",
    )
    first = do(
        "practitioner", "PATCH", path, phone, gives=200, means="a draft from the phone", match=0
    )
    story.kept["base"] = first["revision"]
    do(
        "practitioner",
        "PATCH",
        path,
        tablet,
        gives=200,
        means="the tablet was behind, but wrote another field: merged, nothing lost",
        match=0,
        check=lambda answer: answer["note"]["subjective"] == phone["subjective"],
    )
    do(
        "practitioner",
        "PATCH",
        path,
        {"device": "tablet", "sequence": 2, "subjective": "Slept well."},
        gives=412,
        means="the same field from behind: both values are shown, neither is lost",
        match=0,
        check=lambda answer: "collisions" in answer.body,
    )
    story.kept["note"] = path


def _signed(story: DemoStory) -> None:
    do, path = story.do, story["note"]
    story.do(
        "practitioner",
        "POST",
        f"/clients/{story['client']}/range-of-motion",
        {**reading("shoulder_abduction", 149), "session_id": story["visit"]},
        gives=201,
        means="today's reading: 149°, eleven degrees gained, more than measurement error",
        check=lambda answer: any(
            one["label"] == "improved" for one in answer["reading"]["comparisons"]
        ),
    )
    draft = do("practitioner", "GET", path, gives=200, means="the draft as it stands")["draft"]
    rest = {
        "device": "phone",
        "sequence": 2,
        "subjective": "Sleeps on that side again.",
        "assessment": "Abduction gains; end range guarded.",
        "plan": "Same again, then the V.",
        "minutes": {"stretching": 38, "cardio": 10, "strength": 0, "measuring_and_talk": 7},
        "not_counted_minutes": 5,
    }
    saved = do(
        "practitioner",
        "PATCH",
        path,
        rest,
        gives=200,
        means="minutes of each part, assessment and plan; the collision is settled",
        match=draft["revision"],
    )
    do(
        "practitioner",
        "POST",
        f"{path}/signature",
        {},
        gives=201,
        means="signed: 60 minutes attended",
        match=saved["revision"],
        key=new_id(),
        check=lambda answer: answer["attended_minutes"] == 60 and answer["outside"] == [],
    )
    _never_changes(story, saved["revision"])


def _never_changes(story: DemoStory, revision: int) -> None:
    do, path = story.do, story["note"]
    do(
        "practitioner",
        "POST",
        f"{path}/signature",
        {},
        gives=409,
        means="a signed note is not signed again, and never changes",
        match=revision,
        key=new_id(),
    )
    do(
        "practitioner",
        "POST",
        f"{path}/addenda",
        {"text": "The exercise sheet was taken home."},
        gives=201,
        means="an addendum can be added",
    )
