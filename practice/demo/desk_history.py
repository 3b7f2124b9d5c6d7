"""What the front desk did for the demo's clients beside booking: papers, waiting, calls."""

from __future__ import annotations

from datetime import datetime, timedelta

from practice.demo.clients import WEEKS, PaperAsked, WaitingSince
from practice.demo.recovery import Recovery

CONFIRMED_EVERY = 3
"""One client in so many has said that they come to the next session."""


class DeskWork:
    """The desk's part in one client's past."""

    def __init__(self, recovery: Recovery) -> None:
        self.recovery, self.past, self.course = recovery, recovery.past, recovery.course

    def days_ago(self, days: int) -> datetime:
        """That day at this time, or soon after the client was registered."""
        registered = self.recovery.registered_at + timedelta(hours=2)
        return max(registered, self.past.now - timedelta(days=days))

    def plan(self) -> None:
        """Every act of the desk."""
        at, course = self.past.at, self.course
        if (paper := course.paper) is not None:
            at(self.days_ago(paper.days_ago), lambda: self.ask_for(paper))
        if (waiting := course.waiting) is not None:
            at(self.days_ago(waiting.days_ago), lambda: self.put_on_waiting_list(waiting))
        if course.consent == "withdrawn":
            at(self.past.now - timedelta(hours=20), self.withdraw_consent)
        if course.ahead % CONFIRMED_EVERY == 0 and course.ahead:
            at(self.past.now - timedelta(hours=3), self.confirm_next)

    def ask_for(self, paper: PaperAsked) -> None:
        """Asked for, sent, reminded, answered: as far as the course says."""
        path = f"{self.recovery.path}/papers"
        made = self.recovery.send("desk", "POST", path, paper.asked)["id"]
        for step, channel in (("sending", paper.sent), ("reminder", paper.reminded)):
            if channel:
                self.recovery.send("desk", "POST", f"{path}/{made}/{step}", {"channel": channel})
        if paper.answered is not None:
            self.recovery.send("desk", "POST", f"{path}/{made}/answer", paper.answered)

    def put_on_waiting_list(self, waiting: WaitingSince) -> None:
        """The client waits for a time."""
        self.recovery.send("desk", "POST", f"{self.recovery.path}/waiting", waiting.asked)

    def withdraw_consent(self) -> None:
        """All of it: what is booked narrows, and the desk has to call about it."""
        path = f"{self.recovery.path}/touch-consent/withdrawal"
        self.recovery.send("desk", "POST", path, {"reason": "Wants to go on alone."})

    def confirm_next(self) -> None:
        """The client has said that they come next week."""
        session = self.recovery.sessions.get(max(WEEKS + 1, self.course.first_week))
        if session is not None:
            self.recovery.send(
                "desk", "POST", f"/sessions/{session}/confirmation", {"how": "phone"}
            )
