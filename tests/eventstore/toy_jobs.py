"""Kinds of jobs of a toy: work, work that fails, mail, sweeps."""

from __future__ import annotations

from uuid import UUID

import pytest

from practice.core.appspec import installed
from practice.core.decisions import Job
from practice.core.jobs import JobKind, JobOrder
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import write_jobs
from practice.work.unit_of_work import UnitOfWork
from tests.eventstore.toy import SHELF, put

KINDS = (
    JobKind(name="toy", must_happen=True),
    JobKind(name="toy fails", must_happen=True),
    JobKind(name="toy mail", must_happen=False, order=JobOrder.REMINDER),
    JobKind(name="toy sweep", must_happen=True, order=JobOrder.SWEEP),
    JobKind(name="toy together", must_happen=True, together=3),
    JobKind(name="toy letter", must_happen=False, together=3),
)


def install_toy_jobs(monkeypatch: pytest.MonkeyPatch) -> None:
    """The toy's kinds known to the program for a test."""

    def handle(uow: UnitOfWork, job: ScheduledJob) -> None:
        uow.execute(job.subject, (SHELF,), put(job.occasion))

    def fail(uow: UnitOfWork, job: ScheduledJob) -> None:
        handle(uow, job)
        raise OSError("the mail server is away")

    for kind in KINDS:
        monkeypatch.setitem(installed.job_kinds, kind.name, kind)
    monkeypatch.setitem(installed.job_handlers, "toy", handle)
    monkeypatch.setitem(installed.job_handlers, "toy sweep", lambda uow, job: None)
    monkeypatch.setitem(installed.job_handlers, "toy fails", fail)
    monkeypatch.setitem(installed.job_handlers, "toy together", handle)


def plan(one: UUID, kind: str = "toy", **options: object) -> None:
    write_jobs([Job(kind, one, occasion="a", **options)])  # type: ignore[arg-type]


def mail(monkeypatch: pytest.MonkeyPatch, deliver: object) -> None:
    monkeypatch.setitem(installed.job_deliveries, "toy mail", deliver)


def refused(job: ScheduledJob) -> None:
    raise OSError("the mail server is away")
