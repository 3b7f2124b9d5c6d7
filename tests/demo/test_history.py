"""The demo's past, played for a few of its clients: what is told of them is on record."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.management import call_command

from practice.core.terms import Role
from practice.demo import people
from practice.demo.callers import DemoUser, InProcessCaller, sign_in_demo_user
from practice.demo.clients import COURSES, Course
from practice.demo.recovery_history import HistoryPlayer, clock_now
from practice.demo.setup import set_up
from practice.jobs.services import run_due_jobs

pytestmark = [pytest.mark.django_db, pytest.mark.once]
CHOSEN = ("Haverkamp", "Żurawska", "Achterberg", "Quillmore", "Saint-Orme", "Arcy-Moss")


class Demo:
    """The demo practice with a few of its clients, as the desk and a practitioner read it."""

    def __init__(self) -> None:
        call_command("owner", "owner", "Saskia Thorn", verbosity=0)
        now, inside = clock_now(), InProcessCaller()
        ids = set_up(inside, now.date())
        courses = [one for one in COURSES if one.family_name in CHOSEN]
        HistoryPlayer(inside, ids, now).play(courses)
        self.now = now
        self.desk: DemoUser = sign_in_demo_user(inside, Role.FRONT_DESK, "desk", people.PASSWORD)
        self.ines: DemoUser = sign_in_demo_user(inside, Role.PRACTITIONER, "ines", people.PASSWORD)
        self.courses: dict[str, Course] = {one.family_name: one for one in courses}

    def id_of(self, family_name: str) -> str:
        (row,) = self.desk.send("POST", "/clients/search", {"name": family_name})["results"]
        return str(row["id"])

    def of(self, family_name: str, what: str) -> Any:
        return self.ines.send("GET", f"/clients/{self.id_of(family_name)}/{what}").body


def test_the_past_of_some_clients(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OWNER_PASSWORD", people.PASSWORD)
    demo = Demo()
    listed = demo.desk.send("GET", "/clients?page_size=200")["results"]
    assert sorted(one["family_name"] for one in listed) == sorted(CHOSEN)
    # A minor's guardian consented; who was never reviewed has given none.
    consent = demo.of("Haverkamp", "touch-consent")
    assert (consent["in_force"], consent["signer"]) == (True, "guardian")
    assert demo.of("Arcy-Moss", "touch-consent")["status"] == "none"
    # A paper is waited for, and six weeks are booked.
    (paper,) = demo.of("Żurawska", "papers")["results"]
    assert (paper["status"], paper["sent_on"] is not None) == ("waiting", True)
    booked = f"/sessions?client_id={demo.id_of('Żurawska')}&status=booked"
    assert len(demo.desk.send("GET", booked)["results"]) == 6
    (waiting,) = demo.desk.send("GET", "/waiting-list")["results"]
    assert waiting["client_id"] == demo.id_of("Saint-Orme")
    # Range was lost after the discharge: the stretch is back, and its re-checks are ended.
    stretches = demo.of("Quillmore", "stretches")["results"]
    assert ("active", 1) in {(one["status"], one["resumed"]) for one in stretches}
    # Another's re-check is due: the first tick puts it on the call list.
    run_due_jobs()
    calls = demo.desk.send("GET", "/call-list?reason=recheck_due")["results"]
    assert [one["client_id"] for one in calls] == [demo.id_of("Achterberg")]
    # Two places with law, rooms and people of their own.
    owner = sign_in_demo_user(demo.desk.caller, "owner", "owner", people.PASSWORD)
    for state in ("US-CA", "US-PA"):
        limits = owner.send("GET", f"/jurisdiction-limits?jurisdiction={state}")["results"]
        assert limits
        assert all(one["source"] and one["effective_from"] for one in limits)
