"""One client of the demo: registered, booked week by week, treated, measured."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from random import Random
from typing import Any, Protocol
from uuid import uuid4
from zoneinfo import ZoneInfo

from msgspec import structs

from practice.demo import people
from practice.demo.callers import DemoUser
from practice.demo.clients import COURSES, WEEKS, Course, dated
from practice.demo.recovery_content import (
    authorization,
    health_history,
    note,
    personal_details,
    touch_consent,
)
from practice.demo.setup import require_success

STRETCHES = ("abduction_pattern", "flexion_pattern")
WHOLE_RANGE = 180


class Past(Protocol):
    """What a client's course asks of whoever plays the past."""

    ids: dict[str, str]
    now: datetime
    chance: Random
    staff: dict[str, DemoUser]

    def at(self, when: datetime, act: Callable[[], Any]) -> None:
        """Plan an act for an instant."""


class Recovery:
    """One client's way: registered, booked, treated, measured, discharged from a stretch."""

    def __init__(self, past: Past, course: Course) -> None:
        self.past, self.number = past, COURSES.index(course)
        self.zone = ZoneInfo(people.FACILITIES[course.facility]["zone"])
        self.today = past.now.astimezone(self.zone).date()
        self.course: Course = dated_course(course, self.today)
        self.evaluator = people.EVALUATORS[course.facility]
        first_day = self.start_of(course.first_week).astimezone(self.zone).date()
        self.told = health_history(course, first_day - timedelta(weeks=course.weeks_since))
        self.client = ""
        self.sessions: dict[int, str] = {}
        self.prescriptions: dict[str, str] = {}
        self.discharged = False

    def start_of(self, week: int) -> datetime:
        """When the session of a week starts; week 12 is that of today."""
        monday = self.today - timedelta(days=self.today.weekday())
        day = monday + timedelta(days=self.course.weekday, weeks=week - WEEKS)
        return datetime.combine(day, time(self.course.hour), self.zone).astimezone(UTC)

    @property
    def registered_at(self) -> datetime:
        """Three days before the first session, and the day before yesterday at the latest."""
        before = self.start_of(self.course.first_week) - timedelta(days=3)
        return min(before, self.past.now - timedelta(days=2))

    def plan(self) -> None:
        """Every act of the course up to now, and the sessions that lie ahead."""
        at, course, begins = self.past.at, self.course, self.registered_at
        at(begins, self.register)
        if course.reviewed:
            at(begins + timedelta(minutes=20), self.review)
        if course.first_week <= WEEKS:
            weeks = course.last_week - course.first_week + 1
            at(begins + timedelta(minutes=40), lambda: self.book(course.first_week, weeks))
        for week in range(course.first_week, course.last_week + 1):
            self._plan_week(week)
        if course.recheck is not None:
            week = course.recheck[0]
            at(self.start_of(week) - timedelta(days=2), lambda: self.book(week, 1))
            self._plan_week(week)
        if course.ahead:
            at(
                self.past.now - timedelta(days=1),
                lambda: self.book(max(WEEKS + 1, course.first_week), course.ahead),
            )

    def _plan_week(self, week: int) -> None:
        at, begins = self.past.at, self.start_of(week)
        if week in self.course.missed:
            at(begins + timedelta(minutes=30), lambda: self.no_show(week))
        elif week in self.course.cancelled:
            at(begins - timedelta(hours=5), lambda: self.cancel(week))
        else:
            at(begins, lambda: self.arrive(week))
            written = begins + timedelta(minutes=self.course.minutes + 10)
            at(written, lambda: self.write(week))

    def send(self, who: str, method: str, path: str, body: Any = None, **more: Any) -> Any:
        """A request that must succeed."""
        return require_success(self.past.staff[who].send(method, path, body, **more))

    @property
    def path(self) -> str:
        """Address of the client, without the prefix of the API."""
        return f"/clients/{self.client}"

    def register(self) -> None:
        """The front desk: register, history as told, consent, preference, who pays."""
        course, ids = self.course, self.past.ids
        details = personal_details(course, self.number, ids[course.facility])
        self.client = self.send("desk", "POST", "/clients", details)["id"]
        self.send("desk", "POST", f"{self.path}/health-history", self.told)
        first_day = self.registered_at.astimezone(self.zone).date()
        if course.consent == "declined":
            reason = {"reason": "Would rather not be touched."}
            self.send("desk", "POST", f"{self.path}/touch-consent/refusal", reason)
        elif course.consent != "none":
            given = touch_consent(course, first_day)
            self.send("desk", "POST", f"{self.path}/touch-consent", given)
        if course.gender:
            preference = {"scope": "hands_on_only", "gender": course.gender}
            self.send("desk", "PUT", f"{self.path}/provider-preference", preference)
        if course.pays == "self":
            stated = {"starts_on": first_day.isoformat(), "reason": "Said so at the desk."}
            self.send("desk", "POST", f"{self.path}/self-pay", stated)
        else:
            begins = first_day + timedelta(days=3)
            authorized = authorization(course, self.number, ids["payer"], begins)
            self.send("desk", "POST", f"{self.path}/authorizations", authorized)

    def review(self) -> None:
        """An evaluating practitioner: the history reviewed, stretches prescribed."""
        who = self.evaluator
        reviewed = {**self.told, "neck": "none", "clearance_need": "not_needed"}
        told = self.send(who, "GET", f"{self.path}/health-history")
        review = f"{self.path}/health-history/review"
        self.send(who, "POST", review, reviewed, match=told["version"])
        for stretch in STRETCHES:
            body = {
                "stretch": stretch,
                "side": self.course.side,
                "facility_id": self.past.ids[self.course.facility],
            }
            made = self.send(who, "POST", f"{self.path}/stretches", body)
            self.prescriptions[stretch] = made["id"]

    def book(self, week: int, count: int) -> None:
        """The front desk books a session a week, so many from a week on, in one request."""
        course, ids = self.course, self.past.ids
        body = {
            "client_id": self.client,
            "practitioner_id": ids[f"{course.practitioner}'s work"],
            "facility_id": ids[course.facility],
            "room_id": ids.get(course.room),
            "starts_at": self.start_of(week).isoformat(),
            "minutes": course.minutes,
            "recurrence": f"FREQ=WEEKLY;COUNT={count}",
        }
        made = self.send("desk", "POST", "/session-series", body, key=str(uuid4()))
        for number, one in enumerate(made["occurrences"]):
            if one["session"] is not None:
                self.sessions[week + number] = one["session"]["id"]

    def no_show(self, week: int) -> None:
        """The client did not come."""
        self.send("desk", "POST", f"/sessions/{self.sessions[week]}/no-show", {})

    def cancel(self, week: int) -> None:
        """The client calls the session off that morning."""
        called_off = {"by": "client", "reason": "Has a cold."}
        self.send("desk", "POST", f"/sessions/{self.sessions[week]}/cancellation", called_off)

    def arrive(self, week: int) -> None:
        """The arrival answers, and the session is opened."""
        answers: dict[str, Any] = {
            "hands_on_today": "no" if self.course.consent in ("declined", "none") else "yes",
            "pain_now": self.past.chance.randint(0, 3),
            "usual_pain": 2,
            "feverish": False,
            "swelling": [],
            "new_symptoms": [],
            "fatigue": self.past.chance.randint(1, 5),
        }
        session = f"/sessions/{self.sessions[week]}"
        self.send("desk", "POST", f"{session}/arrival", answers)
        self.send(self.course.practitioner, "POST", f"{session}/opening")

    def degrees(self, week: int) -> int:
        """Shoulder abduction of a week: the course and the error of measuring."""
        if self.course.recheck is not None and week == self.course.recheck[0]:
            return self.course.recheck[1]
        gained = self.course.gain * (week - self.course.first_week)
        reached = self.course.start + gained + self.past.chance.uniform(-2, 2)
        return min(WHOLE_RANGE, round(reached))

    def write(self, week: int) -> None:
        """Readings, the note, the signature; discharged once the whole range is there."""
        who, session = self.course.practitioner, f"/sessions/{self.sessions[week]}"
        reached = self.degrees(week)
        movements = {"shoulder_abduction": reached}
        if self.course.first_week == 0:  # Of who came later, one reading a session.
            movements["shoulder_flexion"] = min(WHOLE_RANGE, reached + 8)
        for movement, degrees in movements.items():
            reading = {
                "movement": movement,
                "side": self.course.side,
                "motion": "active",
                "degrees": degrees,
                "position": "sitting",
                "instrument": "goniometer",
                "session_id": self.sessions[week],
                "confirmed_unlikely": True,
            }
            self.send(who, "POST", f"{self.path}/range-of-motion", reading)
        written = note(self.course, week, self.prescriptions)
        draft = self.send(who, "PATCH", f"{session}/note", written, match=0)
        if week == self.course.unsigned:
            return
        sign = f"{session}/note/signature"
        self.send(who, "POST", sign, {}, match=draft["revision"], key=str(uuid4()))
        if reached >= WHOLE_RANGE and not self.discharged:
            self.discharged = True
            discharge = f"/stretches/{self.prescriptions[STRETCHES[0]]}/discharge"
            self.send(self.evaluator, "POST", discharge, {})


def dated_course(course: Course, today: date) -> Course:
    """The course with its days as they are on the day on which the demo is made."""
    paper, waiting = course.paper, course.waiting
    return structs.replace(
        course,
        birth_date=dated(course.birth_date, today),
        details=dated(course.details, today),
        paper=paper
        and structs.replace(
            paper, asked=dated(paper.asked, today), answered=dated(paper.answered, today)
        ),
        waiting=waiting and structs.replace(waiting, asked=dated(waiting.asked, today)),
    )
