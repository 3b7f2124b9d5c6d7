"""Act 11: a goal in the client's words; an incident, beside the note and followed until closed."""

from __future__ import annotations

from practice.demo.checks import has, lists, refused, shows
from practice.demo.telling import DemoStory


def goal_and_incident(story: DemoStory) -> None:
    """A goal is set and reviewed; a fall is reported, followed up and closed by another."""
    story.act(11, "A goal, and an incident")
    _goal(story)
    _incident(story)


def _goal(story: DemoStory) -> None:
    do, path = story.do, f"/clients/{story['client']}/treatment-goals"
    agreed = {
        "text": "Lifts a plate of 1 kg to the upper shelf with the left arm.",
        "words": "I want to reach my own dishes again.",
        "target_on": story.day(60),
    }
    goal = do(
        "practitioner",
        "POST",
        path,
        agreed,
        gives=201,
        means="a treatment goal, with the client's own words and a number that stays",
        check=shows(**agreed, number=1, status="open"),
    )
    review = {"outcome": "not_met", "reason": "The shelf is out of reach for another month."}
    do(
        "practitioner",
        "POST",
        f"{path}/{goal['id']}/reviews",
        {**review, "session_id": story["visit"]},
        gives=200,
        means="reviewed in the session: not met yet, and why",
        check=lambda answer: (
            (answer["id"], answer["status"]) == (goal["id"], "open")
            and [{name: one[name] for name in review} for one in answer["reviews"]] == [review]
        ),
    )


def _incident(story: DemoStory) -> None:
    do, path = story.do, f"/clients/{story['client']}/incidents"
    happened = {
        "kind": "fall",
        "what_happened": "Slipped beside the table when standing up, onto the left knee.",
        "session_id": story["visit"],
        "told": [{"whom": "owner", "words": "in person"}],
    }
    incident = do(
        "front desk",
        "POST",
        path,
        {**happened, "call_on": story.local_day()},
        gives=201,
        means="a fall is reported; the desk is not shown what happened",
        check=lambda answer: (
            answer["status"] == "open"
            and [one["whom"] for one in answer["steps"]] == ["owner"]
            and "Slipped" not in str(answer.body)
        ),
    )
    do(
        "front desk",
        "GET",
        f"/call-list?client_id={story['client']}&reason=follow_up_call",
        gives=200,
        means="to be called about it: on the call list, without a word of what it was",
        check=lambda answer: (
            lists([{"about_id": incident["id"]}])(answer) and "fall" not in str(answer.body)
        ),
    )
    path = f"{path}/{incident['id']}"
    do(
        "practitioner",
        "POST",
        f"{path}/follow-up",
        {"words": "No pain on stairs the day after."},
        gives=200,
        means="followed up",
        check=lambda answer: (
            [one["kind"] for one in answer["steps"]] == ["told", "followed_up"]
            and answer["what_happened"] == happened["what_happened"]
        ),
    )
    done = {"words": "Healed; a rail was put up beside the table."}
    do(
        "practitioner",
        "POST",
        f"{path}/closing",
        done,
        gives=403,
        means="who was there does not close it",
        check=refused("own_incident"),
    )
    _closed(story, path, incident["id"], done)


def _closed(story: DemoStory, path: str, incident_id: str, done: dict[str, str]) -> None:
    story.do(
        "owner",
        "GET",
        f"/incidents?status=open&client_id={story['client']}",
        gives=200,
        means="the owner's list of what is open",
        check=lambda answer: [one["id"] for one in answer["results"]] == [incident_id],
    )
    story.do(
        "owner",
        "POST",
        f"{path}/closing",
        done,
        gives=200,
        means="closed by the owner; it stays on record",
        check=lambda answer: answer["status"] == "closed" and has(answer["steps"][-1], done),
    )
