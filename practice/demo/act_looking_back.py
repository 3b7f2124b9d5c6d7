"""Acts 8 and 13: consent is withdrawn, the owner looks back."""

from __future__ import annotations

from practice.demo.act_reminding import month
from practice.demo.callers import DemoResponse
from practice.demo.checks import codes, shows
from practice.demo.telling import DemoStory


def consent_withdrawn(story: DemoStory) -> None:
    """Future sessions planned as hands-on are flagged at once."""
    story.act(8, "The client withdraws touch consent")
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
        means="withdrawn, upon a version long past: what narrows is never refused for it",
        match=1,
        check=shows(status="withdrawn", in_force=False),
    )
    do(
        "front desk",
        "GET",
        session,
        gives=200,
        means="the session is flagged at once, and says why",
        check=lambda answer: (
            answer["flagged"]
            and answer["mode"] == "self_directed"
            and codes(answer["flag_reasons"]) == {"consent.withdrawn"}
        ),
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
        and all(
            one["mode"] != "hands_on" and one.get("planned") != "hands_on"
            for group in answer["programme"]
            for one in group["outcomes"]
        )
        and not any(
            "hands_on" in block or "hands_on" in block.get("planned", {})
            for group in answer["other_stretches"]
            for block in group["by_side"]
        )
    )


def the_owner_looks(story: DemoStory) -> None:
    """Every event; the record as it was known; the chain; the read tables."""
    story.act(13, "The owner looks back")
    month(story)
    do, path = story.do, f"/clients/{story['client']}"
    do(
        "owner",
        "GET",
        f"{path}/history?page_size=200",
        gives=200,
        means="every event: who, when it happened, when it was recorded",
        check=_every_event,
    )
    do(
        "owner",
        "GET",
        f"{path}/record?known_at={story.ago(days=1).replace('+', '%2B')}",
        gives=200,
        means="as it was known yesterday: nothing yet, however far back the late entries reach",
        check=_nothing_known,
    )
    do(
        "owner",
        "GET",
        f"/access-log?client_id={story['client']}&page_size=200",
        gives=200,
        means="who read the record, and who was refused",
        check=lambda answer: (
            {"read", "refused"} == {one["outcome"] for one in answer["results"]}
            and all(one["staff_id"] and one["occurred_at"] for one in answer["results"])
        ),
    )
    the_checks(story)


def the_checks(story: DemoStory) -> None:
    """The log against its chain, the read tables against the log."""
    for path, means in (
        ("/log/verification", "every event of the log against its chain: no fault"),
        ("/log/comparison", "every column of every read table against the log: no difference"),
    ):
        story.do(
            "owner",
            "GET",
            path,
            gives=200,
            means=means,
            check=lambda answer: answer["events"] > 0 and answer["faults"] == [],
        )


def _every_event(answer: DemoResponse) -> bool:
    """From registration to withdrawal, each with its person and both times."""
    rows = answer["results"]
    types = [one["type"] for one in rows]
    return (
        types[0] == "client.registered"
        and {"note.signed", "recheck.regressed", "stretch.resumed", "consent.withdrawn"} <= {*types}
        and [one["version"] for one in rows] == list(range(1, len(rows) + 1))
        and all(one["recorded_by"] and one["occurred_at"] <= one["recorded_at"] for one in rows)
        and any(one["recorded_late"] for one in rows)
    )


def _nothing_known(answer: DemoResponse) -> bool:
    return (
        answer["details"] is answer["preference"] is answer["reviewed_history"] is None
        and answer["consent"]["status"] == "none"
        and answer["orders"] == answer["reported_histories"] == []
        and not answer["more"]["sessions"]
        and not answer["more"]["measurements"]["readings"]
    )
