"""What a kind of reminder is; each app brings its own. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID

from clients.reminders.domain.rules import ReminderRule, Wording
from practice.core.jobs import JobKind, JobOrder


@dataclass(frozen=True, kw_only=True)
class Question:
    """What is asked at its time: of whom, about what, on which occasion of the job, by which
    rule of the practice. ``client_id`` is the practice itself for what is of no client."""

    client_id: UUID
    about: UUID
    occasion: str
    rule: Any
    now: datetime


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """A reminder that is still wanted.

    ``occasion``: what makes it once for each addressee; ``at``: not before; ``until``: of no
    use from then on. ``day`` is what it is about, e.g. that of the session; ``facts`` fill the
    template (``day``, ``time``: a date, a local time). ``told``: a sentence for the staff.
    ``wording`` in place of the rule's template.
    """

    occasion: str
    day: date
    at: datetime
    told: str
    until: datetime | None = None
    practitioner_id: UUID | None = None
    facts: Mapping[str, Any] = field(default_factory=dict)
    wording: Wording | None = None


def reads_by_itself(_asked: Sequence[Question]) -> None:
    """Of a kind for the staff: none of it goes out with others, and ``decide`` reads what it
    needs."""


@dataclass(frozen=True, kw_only=True)
class ReminderKind:
    """``job``: the kind of its jobs and its group of settings, ``remind_…``; ``settings``: the
    struct of that group. ``decide(question, found)`` says whether it is (still) wanted: when its
    job comes due, and again before it goes. ``read(questions)``: what some questions are decided
    by, read for all of them at once; it is the ``found`` of each. ``on_call_list``: the desk's
    call list has the same matter already, so nothing is put on a list where no message goes."""

    job: str
    settings: type[ReminderRule]
    decide: Callable[[Question, Any], Wanted | None]
    read: Callable[[Sequence[Question]], Any] = reads_by_itself
    on_call_list: bool = False

    def decider(self, questions: Sequence[Question]) -> Callable[[Question], Wanted | None]:
        """What decides on each of some questions, one or many, by what is read now. None: it is
        not wanted, or the practice has turned the kind off."""
        asked = [one for one in questions if one.rule.is_on]
        found = self.read(asked) if asked else None
        return lambda one: self.decide(one, found) if one.rule.is_on else None

    @property
    def name(self) -> str:
        """How it is shown: its job without the first word."""
        return self.job.removeprefix("remind_")

    @property
    def job_kind(self) -> JobKind:
        """Deciding is ours and must happen; only the message itself may be given up."""
        return JobKind(name=self.job, must_happen=True, order=JobOrder.REMINDER)
