"""Act 4: the practitioner reviews, takes the arrival answers and opens the session."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from practice.demo.act_registering import HAND_TECHNIQUES, history
from practice.demo.callers import DemoResponse
from practice.demo.checks import Check, has, refused, same, shows
from practice.demo.telling import DemoStory, new_id


def the_session(story: DemoStory) -> None:
    """From the review to the opened session with its plan."""
    story.act(4, "The practitioner's session")
    _reviewed(story)
    _cleared(story)
    _came(story)
    _opened(story)


def _reviewed(story: DemoStory) -> None:
    path = f"/clients/{story['client']}"
    told = story.do(
        "practitioner",
        "GET",
        f"{path}/health-history",
        gives=200,
        means="the history as the desk was told it",
        check=lambda answer: (
            answer["status"] == "reported"
            and [one["informant"] for one in answer["reports"]] == ["the client"]
        ),
    )
    story.do(
        "practitioner",
        "POST",
        f"{path}/health-history/review",
        {**history(story), **ASKED, "occurred_at": story.before_visit(30)},
        gives=200,
        means="reviewed with the client before the session: neck asked, no clearance needed",
        match=told["version"],
        check=lambda answer: (
            answer["status"] == "reviewed"
            and has(answer["reviewed"], ASKED)
            and same(answer["reviewed_at"], datetime.fromisoformat(story.before_visit(30)))
        ),
    )
    story.do(
        "front desk",
        "GET",
        f"{path}/health-history",
        gives=403,
        means="what was reviewed the front desk no longer reads",
        check=refused("reviewed_history"),
    )


def _cleared(story: DemoStory) -> None:
    order = {
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
    }
    story.do(
        "practitioner",
        "POST",
        f"/clients/{story['client']}/orders",
        order,
        gives=201,
        means="the surgeon's clearance, which names techniques, sites and an end",
        check=lambda answer: len(answer["results"]) == 1 and has(answer["results"][0], order),
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
        check=shows(
            status="arrived",
            late_entry=True,
            hands_on_today="unanswered",
            planned_mode="self_directed",
            mode="self_directed",
            starts_at=story["visit_at"],
        ),
    )["id"]
    story.do(
        "practitioner",
        "POST",
        f"/sessions/{story['visit']}/arrival",
        ARRIVAL,
        gives=200,
        means="the arrival answers: no red flag, no needle in the port: it may be by hand",
        check=lambda answer: (
            has(answer["session"], {"hands_on_today": "yes", "flagged": False})
            and has(answer["permissions"], {"mode": "hands_on", "reasons": [], "refer_to": []})
        ),
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
            check=read(movement, degrees, story.ago(days=21)),
        )
    story.kept["prescription"] = story.do(
        "practitioner",
        "POST",
        f"{path}/stretches",
        {"stretch": "abduction_pattern", "side": "left", "occurred_at": story.ago(days=21)},
        gives=201,
        means="the abduction pattern is prescribed to the client",
        check=shows(
            client_id=story["client"], stretch="abduction_pattern", side="left", status="prescribed"
        ),
    )["id"]
    story.do(
        "practitioner",
        "POST",
        f"/sessions/{story['visit']}/opening",
        gives=200,
        means="the session is opened; the answer is the plan in short, at most about 5 KB",
        check=_short_plan,
    )
    story.do(
        "practitioner",
        "GET",
        f"/sessions/{story['visit']}/plan",
        gives=200,
        means="what may be done hands-on, why not the rest, stretches, readings, the split",
        check=_plan_is_whole,
    )


def _short_plan(answer: DemoResponse) -> bool:
    """What a phone needs: how it stands, the programme with its dose, the last readings."""
    doses = [
        dose
        for group in answer["programme"]
        for one in group["prescriptions"]
        for dose in one["doses"]
    ]
    return (
        answer["opened_at"] is not None
        and answer["reasons"] == []
        and "hands-on" in answer["headline"]
        and all(one["repetitions"] > 0 for one in doses)
        and len(doses) > 0
        and [one["degrees"] for one in answer["readings"]] != []
        and len(str(answer.body)) < SHORT
    )


SHORT = 6000
"""Characters of the short plan, written with Python's quotes."""


def _plan_is_whole(answer: DemoResponse) -> bool:
    split = answer["split"]
    prescribed = [one for group in answer["programme"] for one in group["prescriptions"]]
    outcomes = [one for group in answer["programme"] for one in group["outcomes"]]
    return (
        "hands_on" in {one["mode"] for one in outcomes}
        and all(one.get("reasons") for one in outcomes if one["mode"] != "hands_on")
        and answer["other_stretches"]["hands_on"] > 0
        and sum(one["minutes"] for one in split["suggested"]) == split["booked_minutes"] == 60
        and [one["stretch"] for one in prescribed] == ["abduction_pattern"]
        and len(answer["readings"]) == 2
        and has(answer["answers"], ARRIVAL)
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


def read(movement: str, degrees: int, at: str) -> Check:
    """The answer shows that reading, taken then."""
    wanted = {"movement": movement, "degrees": degrees, "taken_at": datetime.fromisoformat(at)}
    return lambda answer: has(answer["reading"], wanted)
