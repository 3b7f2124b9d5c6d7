"""Three months of the demo's past, played through the API at the times when it happened."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta
from random import Random
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

from practice.clock import clock
from practice.demo import people
from practice.demo.callers import DemoUser, InProcessCaller, sign_in_demo_user
from practice.demo.clients import COURSES, Course
from practice.demo.recovery_content import authorization, health_history, note
from practice.demo.setup import require_success
from practice.people_and_places.models.staff import AccessToken
from practice.people_and_places.token_seals import seal_token

WEEKS = 12
SEED = 20_260_301
REGIONS = ("head_and_neck", "shoulder", "arm", "chest", "upper_back", "lower_back")


@dataclass(order=True)
class ScheduledStep:
    """Something that someone does at an instant of the past."""

    at: datetime
    order: int
    act: Callable[[], Any] = field(compare=False)


class HistoryPlayer:
    """Collects the moments of all clients and plays them in order of time."""

    def __init__(self, inside: InProcessCaller, ids: dict[str, str], now: datetime) -> None:
        self.inside, self.ids, self.now = inside, ids, now
        self.chance = Random(SEED)  # noqa: S311  a demo that is the same every time
        self.moments: list[ScheduledStep] = []
        self.staff: dict[str, DemoUser] = {}

    def at(self, when: datetime, act: Callable[[], Any]) -> None:
        """Plan an act; what would lie after now is left out."""
        if when < self.now - timedelta(minutes=5):
            self.moments.append(ScheduledStep(when, len(self.moments), act))

    def play(self, courses: Sequence[Course]) -> int:
        """Play these clients' past in order of time; returns how many acts there were."""
        for course in courses:
            Recovery(self, course).plan()
        self.moments.sort()
        with self._signed_in():
            for moment in self.moments:
                self.inside.instant = moment.at
                moment.act()
        self.inside.instant = None
        return len(self.moments)

    @contextmanager
    def _signed_in(self) -> Iterator[None]:
        """Everyone signed in for the whole of the past: a token of a day would run out."""
        for username in ("desk", "ines", "jonas", "mira", "billing"):
            self.staff[username] = sign_in_demo_user(
                self.inside, username, username, people.PASSWORD
            )
        for row in AccessToken.objects.all():
            row.created_at = self.now - timedelta(weeks=60)
            row.expires_at = self.now + timedelta(hours=1)
            seal_token(row).save()
        try:
            yield
        finally:
            AccessToken.objects.all().delete()


class Recovery:
    """One client's way: registered, booked week by week, treated, measured."""

    def __init__(self, past: HistoryPlayer, course: Course) -> None:
        self.past, self.course = past, course
        place = people.FACILITIES[course.facility]
        self.zone = ZoneInfo(place["zone"])
        today = past.now.astimezone(self.zone).date()
        monday = today - timedelta(days=today.weekday() + 7 * WEEKS)
        self.first_day = monday + timedelta(days=course.weekday)
        self.told = health_history(course, self.first_day - timedelta(weeks=course.weeks_since))
        self.client = ""
        self.sessions: dict[int, str] = {}
        self.prescriptions: dict[str, str] = {}
        self.discharged = False

    def start_of(self, week: int) -> datetime:
        """When the session of a week starts."""
        day = self.first_day + timedelta(weeks=week)
        return datetime.combine(day, time(self.course.hour), self.zone).astimezone(UTC)

    def plan(self) -> None:
        """Every act of the course up to now, and two sessions that lie ahead."""
        at, start = self.past.at, self.start_of(0)
        at(start - timedelta(days=3), self.register)
        at(start - timedelta(days=3) + timedelta(minutes=20), self.review)
        for week in range(WEEKS + 3):
            begins = self.start_of(week)
            booked = begins - timedelta(days=2 + 7 * (week > WEEKS), hours=1)
            at(booked, lambda week=week: self.book(week))  # type: ignore[misc]
            if week in self.course.missed:
                at(begins + timedelta(minutes=30), lambda week=week: self.no_show(week))  # type: ignore[misc]
                continue
            at(begins, lambda week=week: self.arrive(week))  # type: ignore[misc]
            at(begins + timedelta(minutes=70), lambda week=week: self.write(week))  # type: ignore[misc]

    def send(self, who: str, method: str, path: str, body: Any = None, **more: Any) -> Any:
        """A request that must succeed."""
        return require_success(self.past.staff[who].send(method, path, body, **more))

    @property
    def path(self) -> str:
        """Address of the client, without the prefix of the API."""
        return f"/clients/{self.client}"

    def register(self) -> None:
        """The front desk: register, history as told, consent, preference, authorization."""
        course, ids = self.course, self.past.ids
        mail = f"{course.given_name}.{course.family_name}@example.org".lower()
        self.client = self.send(
            "desk",
            "POST",
            "/clients",
            {
                "given_name": course.given_name,
                "family_name": course.family_name,
                "birth_date": course.birth_date,
                "email": mail.encode("ascii", "ignore").decode(),
                "phone": f"+1415555{101 + COURSES.index(course):04d}",
                "contact_by": course.contact_by,
                "facility_ids": [ids[course.facility]],
            },
        )["id"]
        self.send("desk", "POST", f"{self.path}/health-history", self.told)
        self.send(
            "desk",
            "POST",
            f"{self.path}/touch-consent",
            {
                "regions": [{"region": region, "side": "both"} for region in REGIONS],
                "techniques": ["active_isolated", "contract_relax", "passive"],
                "until": (self.first_day + timedelta(days=360)).isoformat(),
                "form": "paper",
                "signed_on": (self.first_day - timedelta(days=3)).isoformat(),
                "obtained_by": "Pilar Quist",
                "language": "en",
            },
        )
        if course.gender:
            preference = {"scope": "hands_on_only", "gender": course.gender}
            self.send("desk", "PUT", f"{self.path}/provider-preference", preference)
        authorized = authorization(course, ids["payer"], self.first_day)
        self.send("desk", "POST", f"{self.path}/authorizations", authorized)

    def review(self) -> None:
        """The practitioner: the history reviewed, stretches prescribed."""
        who = self.course.practitioner
        reviewed = {**self.told, "neck": "none", "clearance_need": "not_needed"}
        told = self.send(who, "GET", f"{self.path}/health-history")
        review = f"{self.path}/health-history/review"
        self.send(who, "POST", review, reviewed, match=told["version"])
        for stretch in ("abduction_pattern", "flexion_pattern"):
            body = {
                "stretch": stretch,
                "side": self.course.side,
                "facility_id": self.past.ids[self.course.facility],
            }
            self.prescriptions[stretch] = self.send(who, "POST", f"{self.path}/stretches", body)[
                "id"
            ]

    def book(self, week: int) -> None:
        """The front desk books the week's session."""
        ids = self.past.ids
        body = {
            "client_id": self.client,
            "practitioner_id": ids[f"{self.course.practitioner}'s work"],
            "facility_id": ids[self.course.facility],
            "starts_at": self.start_of(week).isoformat(),
            "minutes": 60,
        }
        answer = self.send("desk", "POST", "/sessions", body, key=str(uuid4()))
        self.sessions[week] = answer["id"]

    def no_show(self, week: int) -> None:
        """The client did not come."""
        self.send("desk", "POST", f"/sessions/{self.sessions[week]}/no-show", {})

    def arrive(self, week: int) -> None:
        """The arrival answers, and the session is opened."""
        answers = {
            "hands_on_today": "yes",
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
        reached = self.course.start + self.course.gain * week + self.past.chance.uniform(-2, 2)
        return min(180, round(reached))

    def write(self, week: int) -> None:
        """Readings, the note, the signature; discharged once the whole range is there."""
        who, session = self.course.practitioner, f"/sessions/{self.sessions[week]}"
        reached = self.degrees(week)
        for movement, degrees in (
            ("shoulder_abduction", reached),
            ("shoulder_flexion", min(180, reached + 8)),
        ):
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
        draft = self.send(
            who, "PATCH", f"{session}/note", note(self.course, week, self.prescriptions), match=0
        )
        self.send(
            who, "POST", f"{session}/note/signature", {}, match=draft["revision"], key=str(uuid4())
        )
        if reached >= 180 and not self.discharged:
            self.discharged = True
            self.send(
                who, "POST", f"/stretches/{self.prescriptions['abduction_pattern']}/discharge", {}
            )


def clock_now() -> datetime:
    """Now, to the minute."""
    return clock.now().replace(second=0, microsecond=0)
