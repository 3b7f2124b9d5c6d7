"""Act 6: re-checks come due by themselves; one finds a loss, the other holds."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from dateutil.relativedelta import relativedelta

from practice.demo.act_registering import history
from practice.demo.act_treating import ASKED, read, reading
from practice.demo.callers import DemoResponse
from practice.demo.checks import Check, has, shows
from practice.demo.outbox import mail_to
from practice.demo.telling import DemoStory

INTERVALS = [2, 6, 12]
A_WEEKEND = 1
"""Harbor Lane is closed on Sundays: a date that falls on one moves by a day."""


def re_checks(story: DemoStory) -> None:
    """Discharged ten weeks ago, entered today: the two-month re-check is due already."""
    story.act(6, "Discharged, checked again, and prescribed again")
    _second_client(story)
    _third_client(story)
    for who, degrees in (("client", 180), ("second", 178), ("mailed", 178)):
        _discharged(story, who, degrees)
    for who, channel in (("client", "mail"), ("second", "list_only"), ("mailed", "mail")):
        _called(story, who, channel)
    _reminded(story)
    _lost_and_held(story)


def _second_client(story: DemoStory) -> None:
    body = {
        "given_name": "Odile",
        "family_name": "Marchetti",
        "birth_date": "1966-11-02",
        "phone": "+14155550171",
        "zone": "America/Los_Angeles",
        "contact_by": "phone",
    }
    _registered(story, "second", body, "another client, who wants no mail")


BY_MAIL = {
    "given_name": "Ximena",
    "family_name": "Abreu-Lund",
    "birth_date": "1974-08-23",
    "email": "ximena.abreu-lund@example.org",
    "zone": "America/Los_Angeles",
    "language": "es",
    "contact_by": "mail",
}
ANY_HOUR = {"starts": "00:00", "ends": "23:59"}
"""At which hours a client may be written to, so that the story may be told at any."""


def _third_client(story: DemoStory) -> None:
    body = {**BY_MAIL, "contact_hours": ANY_HOUR}
    _registered(story, "mailed", body, "and one who takes mail, in Spanish; no visit is booked")


def _registered(story: DemoStory, who: str, body: dict[str, Any], means: str) -> None:
    """On record at Harbor Lane, with a reviewed history."""
    given_name, contact_by = body["given_name"], body["contact_by"]
    story.kept[who] = story.do(
        "front desk",
        "POST",
        "/clients",
        {**body, "facility_ids": [story["harbor"]]},
        gives=201,
        means=means,
        check=shows(given_name=given_name, contact_by=contact_by),
    )["id"]
    story.do(
        "practitioner",
        "POST",
        f"/clients/{story[who]}/health-history/review",
        {**history(story), **ASKED},
        gives=200,
        means="reviewed with the client",
        match=1,
        check=lambda answer: answer["status"] == "reviewed" and has(answer["reviewed"], ASKED),
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
        check=shows(stretch="flexion_pattern", prescribed_at=at(story, 119)),
    )
    story.kept[f"{who} flexion"] = prescribed["id"]
    do(
        "practitioner",
        "POST",
        f"/stretches/{prescribed['id']}/start",
        {"occurred_at": story.ago(days=118)},
        gives=200,
        means="begun the day after",
        check=shows(status="active", started_at=at(story, 118)),
    )
    if degrees < 180:
        goal = GOAL | {"occurred_at": story.ago(days=119)}
        do(
            "practitioner",
            "POST",
            f"{path}/goals",
            goal,
            gives=201,
            means="a personal goal: 175°",
            check=shows(movement="shoulder_flexion", side="left", degrees=175),
        )
    do(
        "practitioner",
        "POST",
        f"{path}/range-of-motion",
        reading("shoulder_flexion", degrees, at=story.ago(days=71)),
        gives=201,
        means=f"ten weeks ago an active reading: {degrees}°",
        check=read("shoulder_flexion", degrees, story.ago(days=71)),
    )
    do(
        "practitioner",
        "POST",
        f"/stretches/{prescribed['id']}/discharge",
        {"facility_id": story["harbor"], "occurred_at": story.ago(days=70)},
        gives=200,
        means="discharged at the goal",
        check=shows(status="discharged", at_goal=True, discharged_at=at(story, 70)),
    )
    do(
        "front desk",
        "GET",
        f"/rechecks?client_id={story[who]}",
        gives=200,
        means="re-checks after 2, 6 and 12 months are planned",
        check=_planned(story),
    )


GOAL = {
    "movement": "shoulder_flexion",
    "side": "left",
    "basis": "number",
    "degrees": 175,
    "reason": "the client's other side",
}


def at(story: DemoStory, days: float) -> datetime:
    """The instant so many days ago."""
    return datetime.fromisoformat(story.ago(days=days))


def _planned(story: DemoStory) -> Check:
    """One a date: 2, 6 and 12 calendar months from the day of the discharge, or the next open day.

    The worker may have called the first already.
    """
    day = at(story, 70).astimezone(story["harbor zone"]).date()

    def check(answer: DemoResponse) -> bool:
        rows = sorted(answer["results"], key=lambda one: int(one["months"]))
        wanted = [day + relativedelta(months=months) for months in INTERVALS]
        return (
            [one["months"] for one in rows] == INTERVALS
            and all(one["status"] in ("planned", "on_call_list") for one in rows)
            and all(
                0 <= (date.fromisoformat(one["due_on"]) - due).days <= A_WEEKEND
                for one, due in zip(rows, wanted, strict=True)
            )
        )

    return check


def _called(story: DemoStory, who: str, channel: str) -> None:
    """Wait for the worker: nothing but the tick puts a re-check on the call list."""
    path = f"/rechecks?client_id={story[who]}&status=on_call_list"
    desk = story.people["front desk"]
    story.wait_for(
        lambda: bool(desk.send("GET", path)["results"]),
        "no worker put the due re-check on the call list",
    )
    story.do(
        "front desk",
        "GET",
        path,
        gives=200,
        means=f"by itself on the call list, once; reminder: {channel}",
        check=lambda answer: (
            [(one["months"], one["channel"]) for one in answer["results"]] == [(2, channel)]
            and "degrees" not in str(answer.body)
        ),
    )


def _reminded(story: DemoStory) -> None:
    """The mail goes when the tick sends it; it bears no clinical word."""
    path = f"/reminders?client_id={story['mailed']}&kind=recheck_due"
    desk = story.people["front desk"]
    story.wait_for(
        lambda: [one["status"] for one in desk.send("GET", path)["results"]] == ["sent"],
        "no worker sent the reminder of the re-check",
    )
    story.do(
        "front desk",
        "GET",
        path,
        gives=200,
        means="the reminder of it went by mail, once; it says no more than a visit is due",
        check=lambda answer: (
            [(one["status"], one["channel"]) for one in answer["results"]] == [("sent", "mail")]
            and "Su próxima visita" in mail_to(story.messages, BY_MAIL["email"])
        ),
    )


def _lost_and_held(story: DemoStory) -> None:
    do = story.do
    do(
        "practitioner",
        "POST",
        f"/clients/{story['client']}/range-of-motion",
        reading("shoulder_flexion", 165),
        gives=201,
        means="165°: fifteen degrees lost, beyond measurement error",
        check=_against_discharge("regressed", "regressed", change=-15),
    )
    do(
        "practitioner",
        "GET",
        f"/clients/{story['client']}/stretches",
        gives=200,
        means="the stretch is prescribed again, by itself",
        check=lambda answer: (
            [
                (one["status"], one["resumed"])
                for one in answer["results"]
                if one["id"] == story["client flexion"]
            ]
            == [("active", 1)]
        ),
    )
    _standing(
        story,
        "client",
        {2: "regressed", 6: "ended", 12: "ended"},
        "and its remaining re-checks are cancelled",
    )
    do(
        "practitioner",
        "POST",
        f"/clients/{story['second']}/range-of-motion",
        reading("shoulder_flexion", 173),
        gives=201,
        means="the other client, 173°: five degrees lost, within measurement error",
        check=_against_discharge("maintained", "within_measurement_error", change=-5),
    )
    _standing(
        story,
        "second",
        {2: "maintained", 6: "planned", 12: "planned"},
        "held, on to the next interval",
    )


def _against_discharge(outcome: str, label: str, *, change: int) -> Check:
    """The re-check ends so, since the reading changed by so much since the discharge."""
    wanted = {"against": "discharge", "change": change, "label": label}
    return lambda answer: (
        [one["outcome"] for one in answer["rechecks"]] == [outcome]
        and any(
            has(one, wanted) and (abs(change) > one["threshold"]) is (outcome == "regressed")
            for one in answer["reading"]["comparisons"]
        )
    )


def _standing(story: DemoStory, who: str, statuses: dict[int, str], means: str) -> None:
    story.do(
        "front desk",
        "GET",
        f"/rechecks?client_id={story[who]}",
        gives=200,
        means=means,
        check=lambda answer: (
            {one["months"]: one["status"] for one in answer["results"]} == statuses
        ),
    )
