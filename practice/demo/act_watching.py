"""Acts 6 to 8: re-checks come due by themselves, consent is withdrawn, the owner looks back."""

from __future__ import annotations

import time

from practice.demo.act_registering import history
from practice.demo.act_treating import ASKED, reading
from practice.demo.callers import DemoResponse
from practice.demo.telling import DemoStory, StepFailed

PATIENCE_SECONDS = 75
"""A tick comes every minute even where no wake reaches the worker."""


def re_checks(story: DemoStory) -> None:
    """Discharged ten weeks ago, entered today: the two-month re-check is due already."""
    story.act(6, "Discharged, checked again, and prescribed again")
    _second_client(story)
    for who, degrees in (("client", 180), ("second", 178)):
        _discharged(story, who, degrees)
    for who in ("client", "second"):
        _called(story, who)
    _lost_and_held(story)


def _second_client(story: DemoStory) -> None:
    body = {
        "given_name": "Odile",
        "family_name": "Marchetti",
        "birth_date": "1966-11-02",
        "phone": "+14155550171",
        "zone": "America/Los_Angeles",
        "contact_by": "phone",
        "facility_ids": [story["harbor"]],
    }
    story.kept["second"] = story.do(
        "front desk",
        "POST",
        "/clients",
        body,
        gives=201,
        means="another client, who wants no mail",
    )["id"]
    story.do(
        "practitioner",
        "POST",
        f"/clients/{story['second']}/health-history/review",
        {**history(story), **ASKED},
        gives=200,
        means="reviewed with the client",
        match=1,
    )


def _discharged(story: DemoStory, who: str, degrees: int) -> None:
    path = f"/clients/{story[who]}"
    do = story.do
    prescribed = do(
        "practitioner",
        "POST",
        f"{path}/stretches",
        {"stretch": "flexion_pattern", "side": "left", "occurred_at": story.ago(days=119)},
        gives=201,
        means="the flexion pattern, prescribed 17 weeks ago, entered today",
    )
    story.kept[f"{who} flexion"] = prescribed["id"]
    do(
        "practitioner",
        "POST",
        f"/stretches/{prescribed['id']}/start",
        {"occurred_at": story.ago(days=118)},
        gives=200,
        means="begun the day after",
    )
    if degrees < 180:
        goal = {
            "movement": "shoulder_flexion",
            "side": "left",
            "basis": "number",
            "degrees": 175,
            "reason": "the client's other side",
            "occurred_at": story.ago(days=119),
        }
        do("practitioner", "POST", f"{path}/goals", goal, gives=201, means="a personal goal: 175°")
    do(
        "practitioner",
        "POST",
        f"{path}/range-of-motion",
        reading("shoulder_flexion", degrees, at=story.ago(days=71)),
        gives=201,
        means=f"ten weeks ago an active reading reached the goal: {degrees}°",
    )
    do(
        "practitioner",
        "POST",
        f"/stretches/{prescribed['id']}/discharge",
        {"facility_id": story["harbor"], "occurred_at": story.ago(days=70)},
        gives=200,
        means="discharged; re-checks after 2, 6 and 12 months are planned",
        check=lambda answer: answer["status"] == "discharged",
    )


def _called(story: DemoStory, who: str) -> None:
    """Wait for the worker: nothing but the tick puts a re-check on the call list."""
    path = f"/rechecks?client_id={story[who]}&status=on_call_list"
    until = time.monotonic() + PATIENCE_SECONDS
    while not (found := story.people["front desk"].send("GET", path)["results"]):
        if time.monotonic() > until:
            raise StepFailed("no worker put the due re-check on the call list")
        time.sleep(0.5)
    story.do(
        "front desk",
        "GET",
        path,
        gives=200,
        means=f"by itself on the call list, once; reminder: {found[0]['channel']}",
        check=lambda answer: len(answer["results"]) == 1 and "degrees" not in str(answer.body),
    )


def _lost_and_held(story: DemoStory) -> None:
    do = story.do
    do(
        "practitioner",
        "POST",
        f"/clients/{story['client']}/range-of-motion",
        reading("shoulder_flexion", 165),
        gives=201,
        means="165°: fifteen degrees lost, beyond measurement error; the stretch is back",
        check=lambda answer: [one["outcome"] for one in answer["rechecks"]] == ["regressed"],
    )
    do(
        "practitioner",
        "GET",
        f"/clients/{story['client']}/stretches",
        gives=200,
        means="prescribed again; the remaining re-checks are cancelled",
        check=lambda answer: all(
            one["status"] == "active"
            for one in answer["results"]
            if one["id"] == story["client flexion"]
        ),
    )
    do(
        "practitioner",
        "POST",
        f"/clients/{story['second']}/range-of-motion",
        reading("shoulder_flexion", 173),
        gives=201,
        means="the other client, 173°: within the error; held, on to the next interval",
        check=lambda answer: [one["outcome"] for one in answer["rechecks"]] == ["maintained"],
    )


def consent_withdrawn(story: DemoStory) -> None:
    """Future sessions planned as hands-on are flagged at once."""
    story.act(7, "The client withdraws touch consent")
    do, session = story.do, f"/sessions/{story['session']}"
    do(
        "front desk",
        "POST",
        f"{session}/move",
        {"requested_mode": "hands_on", "reason": "planned anew after the review"},
        gives=200,
        means="the booked session is planned anew, now hands-on",
        check=lambda answer: answer["planned_mode"] == "hands_on",
    )
    do(
        "front desk",
        "POST",
        f"/clients/{story['client']}/touch-consent/withdrawal",
        {"reason": "wants to go on self-directed for now"},
        gives=200,
        means="withdrawn; never refused for a stale version",
    )
    do(
        "front desk",
        "GET",
        session,
        gives=200,
        means="the session is flagged at once, and says why",
        check=lambda answer: answer["flagged"] and answer["mode"] == "self_directed",
    )
    do(
        "practitioner",
        "GET",
        f"/clients/{story['client']}/permissions"
        f"?practitioner_id={story['Ines']}&facility_id={story['harbor']}",
        gives=200,
        means="nothing is hands-on any more",
        check=_nothing_by_hand,
    )


def _nothing_by_hand(answer: DemoResponse) -> bool:
    return (
        answer["mode"] == "self_directed"
        and answer["hands_on"] == answer["hands_on_planned"] == "nothing"
        and not any(
            "hands_on" in block or "hands_on" in block.get("planned", {})
            for group in answer["other_stretches"]
            for block in group["by_side"]
        )
    )


def the_owner_looks(story: DemoStory) -> None:
    """Every event; the record as it was known; the chain; the read tables."""
    story.act(8, "The owner looks back")
    do, path = story.do, f"/clients/{story['client']}"
    do(
        "owner",
        "GET",
        f"{path}/history",
        gives=200,
        means="every event: who, when it happened, when it was recorded",
        check=lambda answer: len(answer["results"]) >= 15,
    )
    do(
        "owner",
        "GET",
        f"{path}/record?known_at={story.ago(days=1).replace('+', '%2B')}",
        gives=200,
        means="as it was known yesterday: nothing yet, however far back the late entries reach",
        check=lambda answer: answer["details"] is None and answer["orders"] == [],
    )
    do(
        "owner",
        "GET",
        f"/access-log?client_id={story['client']}",
        gives=200,
        means="who read the record, and who was refused",
        check=lambda answer: len(answer["results"]) > 0,
    )
    for path, means in (
        ("/log/verification", "every event of the log against its chain: no fault"),
        ("/log/comparison", "every column of every read table against the log: no difference"),
    ):
        do(
            "owner",
            "GET",
            path,
            gives=200,
            means=means,
            check=lambda answer: answer["events"] > 0 and answer["faults"] == [],
        )
