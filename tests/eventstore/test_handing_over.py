"""Several handed over between two commits: each once, whatever comes between them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from datetime import timedelta
from types import SimpleNamespace
from uuid import uuid4

import pytest
from celery.exceptions import SoftTimeLimitExceeded
from django.conf import settings
from django.db import OperationalError, connection

from practice.clock import clock
from practice.core.appspec import installed
from practice.core.decisions import Job
from practice.core.jobs import JobHandover
from practice.jobs import accepted, handing_over, services
from practice.jobs.claims import LEASE, LeaseLost
from practice.jobs.handlers import JobNotWanted, JobPostponed
from practice.jobs.models import ScheduledJob
from practice.jobs.planning import write_jobs
from practice.jobs.services import run_due_jobs
from tests.eventstore.toy import client
from tests.eventstore.toy_jobs import install_toy_jobs

pytestmark = pytest.mark.django_db(transaction=True)
DONE, WAITING = ScheduledJob.Status.DONE, ScheduledJob.Status.WAITING
NOT_WANTED = ScheduledJob.Status.NOT_WANTED
TAKEN = "taken"
"""Written down in this test's place for it."""


class Post:
    """Letters by the occasion of their jobs. ``odd``: what happens as one is handed over;
    ``reasons``: why one does not go."""

    def __init__(self) -> None:
        self.prepared: list[str] = []
        self.tries: Counter[str] = Counter()
        self.sent: list[str] = []
        self.odd: dict[str, Callable[[], object]] = {}
        self.reasons: dict[str, Exception] = {}
        self.refuses = ""

    def prepare(self, jobs: Sequence[ScheduledJob]) -> list[Callable[[], None] | Exception]:
        assert not connection.in_atomic_block
        self.prepared.append("".join(job.occasion for job in jobs))
        if self.refuses and self.refuses in self.prepared[-1]:
            raise OSError("one of them, or all")
        self.tries.update(job.occasion for job in jobs if job.occasion not in self.reasons)
        return [self.reasons.get(job.occasion) or self.way(job) for job in jobs]

    def way(self, job: ScheduledJob) -> Callable[[], None]:
        def go() -> None:
            assert not connection.in_atomic_block
            self.sent.append(job.occasion)
            self.odd.get(job.occasion, lambda: None)()

        return go

    def taken(self, jobs: Sequence[ScheduledJob]) -> None:
        assert connection.in_atomic_block
        rows = ScheduledJob.objects.filter(pk__in=[job.pk for job in jobs], status=WAITING)
        assert rows.update(last_error=TAKEN) == len(jobs), "before they are marked done"

    @property
    def kept(self) -> list[str]:
        rows = ScheduledJob.objects.filter(last_error=TAKEN).order_by("id")
        return list(rows.values_list("occasion", flat=True))

    def not_begun(self, jobs: Sequence[ScheduledJob]) -> None:
        self.tries.subtract(job.occasion for job in jobs)


@pytest.fixture
def post(monkeypatch: pytest.MonkeyPatch) -> Post:
    install_toy_jobs(monkeypatch)
    monkeypatch.setattr(accepted, "PAUSES", (0.0, 0.0))
    monkeypatch.setattr(handing_over, "UNDER_WAY_SECONDS", 60.0)  # However slow the machine is.
    one = Post()
    how = JobHandover(prepare=one.prepare, taken=one.taken, not_begun=one.not_begun)
    monkeypatch.setitem(installed.job_handovers, "toy letter", how)
    return one


def due(occasions: str) -> None:
    one = client()
    write_jobs([Job("toy letter", one, occasion=each) for each in occasions])


def statuses() -> list[str]:
    return list(ScheduledJob.objects.order_by("id").values_list("status", flat=True))


def fails() -> None:
    raise OSError("the server hung up")


def test_as_many_as_the_kind_allows_go_between_two_commits(post: Post) -> None:
    due("abcdefg")
    assert run_due_jobs().done == 7
    assert post.prepared == ["abc", "def", "g"]
    assert post.sent == post.kept == list("abcdefg")
    assert set(post.tries.values()) == {1}
    assert statuses() == [DONE] * 7
    assert not ScheduledJob.objects.exclude(claim=None, lease_until=None).exists()


def test_where_the_server_is_slow_each_is_written_down_by_itself(
    post: Post, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(handing_over, "UNDER_WAY_SECONDS", -1.0)
    due("abcd")
    assert run_due_jobs().done == 4
    assert post.prepared == ["abc", "bcd", "cd", "d"]
    assert post.sent == post.kept == list("abcd")
    assert set(post.tries.values()) == {1}, "what was not begun was not tried"


def test_never_is_much_taken_that_is_not_written_down() -> None:
    """Doubled by a process that dies: at the most a batch, and half a second of it."""
    assert handing_over.UNDER_WAY_SECONDS <= 0.5
    assert installed.job_kinds["send_reminder"].together <= 10


def test_one_that_fails_is_tried_again_and_doubles_none(post: Post) -> None:
    post.odd["b"] = fails
    due("abcd")
    tick = run_due_jobs()
    assert (tick.done, tick.failed) == (3, 1)
    assert post.prepared == ["abc", "c", "d"], "what was to go with it goes by itself"
    assert (post.sent, post.kept) == (list("abcd"), list("acd"))
    assert set(post.tries.values()) == {1}
    assert statuses() == [DONE, WAITING, DONE, DONE]
    assert [row.attempts for row in ScheduledJob.objects.order_by("id")] == [0, 1, 0, 0]


def test_after_one_that_failed_only_those_are_uncounted_that_were_counted(post: Post) -> None:
    post.odd["a"], post.reasons["b"] = fails, JobNotWanted()
    due("abc")
    tick = run_due_jobs()
    assert (tick.done, tick.failed) == (1, 1)
    assert post.tries == {"a": 1, "c": 1}
    assert statuses() == [WAITING, NOT_WANTED, DONE]


def test_what_does_not_go_keeps_none_back(post: Post) -> None:
    later = clock.now() + timedelta(hours=3)
    post.reasons |= {"a": JobNotWanted(), "b": JobPostponed(later)}

    def refused() -> None:
        raise JobNotWanted

    post.odd["d"] = refused
    due("abcdef")
    assert run_due_jobs().done == 3
    assert post.prepared == ["abc", "def"]
    assert post.kept == list("cef")
    assert statuses() == [NOT_WANTED, WAITING, DONE, NOT_WANTED, DONE, DONE]
    assert ScheduledJob.objects.get(occasion="b").due_at == later
    assert not ScheduledJob.objects.exclude(claim=None).exists()


def test_what_stands_in_the_way_of_them_all_is_one_s_alone(post: Post) -> None:
    post.refuses = "b"
    due("abc")
    tick = run_due_jobs()
    assert (tick.done, tick.failed) == (2, 1)
    assert post.prepared == ["abc", "a", "b", "c"]
    assert (post.sent, post.kept) == (list("ac"), list("ac"))
    assert statuses() == [DONE, WAITING, DONE]


def lose(occasion: str) -> None:
    ScheduledJob.objects.filter(occasion=occasion).update(claim=uuid4())


def test_what_another_worker_has_is_not_begun(post: Post) -> None:
    post.odd["a"] = lambda: lose("e")
    due("abcdef")
    tick = run_due_jobs()
    assert (tick.done, tick.lost) == (5, 1)
    assert post.prepared == ["abc", "d", "f"]
    assert post.sent == list("abcdf")


def test_what_another_worker_took_meanwhile_is_known_to_be_taken(post: Post) -> None:
    """Else that one hands it over again."""
    post.odd["b"] = lambda: lose("b")
    due("abc")
    tick = run_due_jobs()
    assert (tick.done, tick.lost) == (2, 1)
    assert post.sent == list("abc")
    assert post.kept == list("abc")
    assert statuses() == [DONE, WAITING, DONE]


def test_the_time_limit_leaves_done_what_was_taken(post: Post) -> None:
    def over() -> None:
        raise SoftTimeLimitExceeded

    post.odd["b"] = over
    due("abcd")
    with pytest.raises(SoftTimeLimitExceeded):
        run_due_jobs()
    assert post.kept == ["a"]
    assert post.tries == {"a": 1, "b": 1, "c": 0}, "the second may have been taken"
    rows = list(ScheduledJob.objects.order_by("id"))
    assert [(row.status, row.attempts, row.claim) for row in rows] == [
        (DONE, 0, None),
        *[(WAITING, 0, None)] * 3,
    ]
    later = clock.now() + timedelta(seconds=30)
    assert [row.due_at > later for row in rows] == [False, True, True, False]


def test_a_database_error_as_they_are_written_down_sends_none_again(
    post: Post, monkeypatch: pytest.MonkeyPatch
) -> None:
    finish, errors = handing_over.finish_all, iter([OperationalError("database is locked")])

    def locked(items: Sequence[ScheduledJob]) -> None:
        if error := next(errors, None):
            raise error
        finish(items)

    monkeypatch.setattr(handing_over, "finish_all", locked)
    due("abc")
    assert run_due_jobs().done == 3
    assert post.sent == list("abc")
    assert statuses() == [DONE] * 3


def test_a_row_that_somebody_is_changing_is_written_down_by_itself(
    post: Post, monkeypatch: pytest.MonkeyPatch
) -> None:
    def changing(_items: Sequence[ScheduledJob]) -> None:
        raise LeaseLost

    monkeypatch.setattr(handing_over, "finish_all", changing)
    due("abc")
    assert run_due_jobs().done == 3
    assert post.sent == post.kept == list("abc")
    assert statuses() == [DONE] * 3


@pytest.mark.parametrize("met_in", ["sleep", "close_if_unusable_or_obsolete"])
def test_the_time_limit_while_the_database_is_waited_for_leaves_them_done(
    post: Post, monkeypatch: pytest.MonkeyPatch, met_in: str
) -> None:
    """They were taken: what interrupts the waiting comes after they are written down."""
    errors = iter([OperationalError("the database went away")])
    finish_all = handing_over.finish_all

    def away(items: Sequence[ScheduledJob]) -> None:
        if error := next(errors, None):
            raise error
        finish_all(items)

    looked = list[str]()

    def waits(step: str) -> None:
        looked.append(step)
        if step == met_in:
            raise SoftTimeLimitExceeded

    monkeypatch.setattr(handing_over, "finish_all", away)
    monkeypatch.setattr(accepted, "time", SimpleNamespace(sleep=lambda _: waits("sleep")))
    look = "close_if_unusable_or_obsolete"
    monkeypatch.setattr(accepted, "connection", SimpleNamespace(**{look: lambda: waits(look)}))
    due("abc")
    with pytest.raises(SoftTimeLimitExceeded):
        run_due_jobs()
    assert (post.sent, post.kept) == (list("abc"), list("abc"))
    assert statuses() == [DONE] * 3
    assert looked == ["sleep", look], "a connection that broke is left, whatever interrupts"


def test_a_database_is_waited_for_as_long_as_task_and_lease_last() -> None:
    begun = services.TICK_BUDGET_SECONDS + handing_over.UNDER_WAY_SECONDS
    waited = sum(accepted.PAUSES)
    assert waited >= 30, "a machine that starts anew"
    assert begun + waited < settings.CELERY_TASK_SOFT_TIME_LIMIT
    assert waited < LEASE.total_seconds() * 7 / 8
