"""Act 4, the note: drafts of two devices, a collision, the signature, an addendum."""

from __future__ import annotations

from typing import Any

from practice.demo.act_treating import reading
from practice.demo.callers import DemoResponse
from practice.demo.checks import has, refused
from practice.demo.telling import DemoStory, new_id

CARDIO = {
    "line_id": "0b5a7a0e-6f0e-4c55-9d0f-6d8f2f0f7a01",
    "mode": "bicycle",
    "minutes": 6,
    "heart_rate": 112,
    "exertion": 4,
}
STRENGTH = {
    "line_id": "0b5a7a0e-6f0e-4c55-9d0f-6d8f2f0f7a02",
    "exercise": "row with a band",
    "side": "right",
    "sets": 2,
    "repetitions": 10,
    "load_kg": 2.5,
}


def the_note(story: DemoStory) -> None:
    """From the first draft to the signed note and its addendum."""
    story.kept["note"] = f"/sessions/{story['visit']}/note"
    _written(story)
    _planned_lines(story)
    _signed(story)


def _written(story: DemoStory) -> None:
    path = story["note"]
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
        check=refused("version_required"),
    )
    do(
        "practitioner",
        "PATCH",
        path,
        phone,
        gives=200,
        means="a draft from the phone",
        match=0,
        check=lambda answer: (
            answer["state"] == "draft"
            and answer["note"]["subjective"] == phone["subjective"]
            and [one["line_id"] for one in answer["note"]["lines"]] == [line["line_id"]]
        ),
    )
    do(
        "practitioner",
        "PATCH",
        path,
        tablet,
        gives=200,
        means="the tablet was behind, but wrote another field: merged, nothing lost",
        match=0,
        check=lambda answer: (
            answer["note"]["subjective"] == phone["subjective"]
            and answer["note"]["objective"] == tablet["objective"]
            and len(answer["note"]["lines"]) == 1
            and "subjective" in answer["merged"]
        ),
    )
    _collided(story, phone["subjective"], "Slept well.")


def _collided(story: DemoStory, first: Any, second: str) -> None:
    story.do(
        "practitioner",
        "PATCH",
        story["note"],
        {"device": "tablet", "sequence": 2, "subjective": second},
        gives=412,
        means="the same field from behind: both values are shown",
        match=0,
        check=lambda answer: (
            [(one["field"], one["current"], one["yours"]) for one in answer["collisions"]]
            == [("subjective", first, second)]
        ),
    )
    story.kept["draft"] = story.do(
        "practitioner",
        "GET",
        story["note"],
        gives=200,
        means="the draft as it stands: neither value is lost",
        check=lambda answer: answer["draft"]["collisions"] == {"subjective": [first, second]},
    )["draft"]


def _planned_lines(story: DemoStory) -> None:
    """All of the plan as done as planned by one act; what differed is saved after it."""
    found = story.do(
        "practitioner",
        "POST",
        f"{story['note']}/lines",
        {"device": "phone", "sequence": 2, "origin": "plan", "response": "As expected."},
        gives=200,
        means="the plan's lines, done as planned, with the response that was said of all",
        match=story["draft"]["revision"],
        check=lambda answer: (
            len(answer["written"]) > 0
            and all(
                (one["response"], one["stretch"]) == ("As expected.", "abduction_pattern")
                for one in answer["note"]["lines"]
                if one["brought_from"] == "plan"
            )
            and answer["note"]["minutes"] == {}
        ),
    )
    story.kept["draft"] = {"revision": found["revision"]}


def _signed(story: DemoStory) -> None:
    do, path = story.do, story["note"]
    story.do(
        "practitioner",
        "POST",
        f"/clients/{story['client']}/range-of-motion",
        {**reading("shoulder_abduction", 149), "session_id": story["visit"]},
        gives=201,
        means="today's reading: 149°, eleven degrees gained, more than measurement error",
        check=_gained,
    )
    rest = {
        "device": "phone",
        "sequence": 3,
        "subjective": "Sleeps on that side again.",
        "cardio": [CARDIO],
        "strength": [STRENGTH],
        "assessment": "Abduction gains; end range guarded.",
        "plan": "Same again, then the V.",
        "minutes": {"stretching": 38, "cardio": 6, "strength": 4, "measuring_and_talk": 7},
        "not_counted_minutes": 5,
    }
    lines = ("device", "sequence", "cardio", "strength")
    told = {name: value for name, value in rest.items() if name not in lines}
    saved = do(
        "practitioner",
        "PATCH",
        path,
        rest,
        gives=200,
        means="cardio, strength, minutes of each part, plan; the collision is settled",
        match=story["draft"]["revision"],
        check=lambda answer: (
            answer["collisions"] == {}
            and has(answer["note"], told)
            and has(answer["note"]["cardio"][0], CARDIO)
            and has(answer["note"]["strength"][0], STRENGTH)
        ),
    )
    signed = do(
        "practitioner",
        "POST",
        f"{path}/signature",
        {},
        gives=201,
        means="signed: 60 minutes attended",
        match=saved["revision"],
        key=new_id(),
        check=lambda answer: (
            answer["attended_minutes"] == 60
            and answer["outside"] == []
            and has(answer["minutes"], {"stretching": 38, "cardio": 6, "measuring_and_talk": 7})
            and has(answer.body, {name: rest[name] for name in ("subjective", "plan")})
        ),
    )
    _never_changes(story, saved["revision"], signed)


def _gained(answer: DemoResponse) -> bool:
    last = {"against": "last", "change": 11, "label": "improved"}
    return any(has(one, last) and one["threshold"] < 11 for one in answer["reading"]["comparisons"])


def _never_changes(story: DemoStory, revision: int, signed: DemoResponse) -> None:
    do, path = story.do, story["note"]
    do(
        "practitioner",
        "POST",
        f"{path}/signature",
        {},
        gives=409,
        means="a signed note is not signed again",
        match=revision,
        key=new_id(),
        check=refused("already_signed"),
    )
    addendum = "The exercise sheet was taken home."
    do(
        "practitioner",
        "POST",
        f"{path}/addenda",
        {"text": addendum},
        gives=201,
        means="an addendum can be added; what was signed stands as it was",
        check=lambda answer: (
            [one["text"] for one in answer["addenda"]] == [addendum]
            and has(answer.body, {name: signed[name] for name in SIGNED})
        ),
    )


SIGNED = ("subjective", "objective", "assessment", "plan", "lines", "minutes", "signed_at")
