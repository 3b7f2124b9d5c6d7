"""Bar 6 in a process of its own: rows in bulk, claims with and without those to come, ticks."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import psycopg
from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.db import connection

from practice.clock import clock
from practice.core.jobs import JobOrder
from practice.jobs.claims import BATCH, claim_jobs, release
from practice.jobs.models import ScheduledJob
from practice.jobs.services import run_due_jobs
from tests.bench import jobs
from tests.bench.at_noon import practice_at_noon
from tests.builders import seal_practice
from tests.harness.reminders_due import mails_due
from tests.harness.world import database_url
from tests.sessions.people import client_by_mail

CLAIMS = 20
"""Of one round."""
MOST_SECONDS = 20.0


def build(*, future: int, due: int, mails: int, rounds: int) -> dict[str, Any]:
    """Seconds of each claim; rows finished and handed over per second."""
    built = practice_at_noon()
    client_id = client_by_mail(built)
    seal_practice()
    add(jobs.HANDLED, due, "-1 * interval '1 second'")
    without = [claims(CLAIMS) for _ in range(rounds + 1)]
    add(jobs.HANDLED, future, "interval '1 day' + n * interval '1 second'")
    beside = [claims(CLAIMS) for _ in range(rounds + 1)]
    _, handled = finished()
    add(jobs.JOINED, due, "-1 * interval '1 second'", subject=client_id)
    _, joined = finished()
    add(jobs.DELIVERED, due, "-1 * interval '1 second'")
    _, delivered = finished()
    plain = {}
    for together in (1, jobs.TOGETHER):
        add(jobs.PLAIN, due, "-1 * interval '1 second'")
        plain[together] = PlainQueue(database_url()).finished_per_second(together)
    mails_due(client_id, mails)
    sent, mailed = finished()
    assert sent == _mails(settings.EMAIL_FILE_PATH), "every one is a mail"
    add(jobs.PLAIN, mails, "-1 * interval '1 second'")
    plain_mailed = PlainQueue(database_url()).mailed_per_second()
    return {
        "without": without[1:],
        "with": beside[1:],
        "handled": handled,
        "joined": joined,
        "delivered": delivered,
        "plain": plain[1],
        "plain_joined": plain[jobs.TOGETHER],
        "mailed": mailed,
        "plain_mailed": plain_mailed,
    }


def _mails(folder: Path) -> int:
    """Django's backend puts what one address of memory sent in a second into one file."""
    return sum(one.read_bytes().count(b"\nSubject: ") for one in folder.iterdir())


def add(
    kind: str,
    count: int,
    after: str,
    order: JobOrder = JobOrder.ORDINARY,
    subject: UUID | None = None,
) -> None:
    """So many rows that are due ``after`` from now, an SQL interval of ``n``."""
    with connection.cursor() as cursor:
        cursor.execute(
            f"""INSERT INTO {ScheduledJob._meta.db_table}
            (kind, key, subject, about, occasion, "order", due_at, status, attempts, last_error)
            SELECT %s, %s || n, coalesce(%s, gen_random_uuid()), gen_random_uuid(), '', %s,
              now() + {after}, 'waiting', 0, ''
            FROM generate_series(1, %s) AS n""",  # noqa: S608  intervals written above
            [kind, f"{kind} {after} {uuid4()} ", subject, order, count],
        )
        cursor.execute(f"VACUUM ANALYZE {ScheduledJob._meta.db_table}")
        # They have lain there for long: what is measured does not write them down beside it.
        cursor.execute("CHECKPOINT")


def claims(count: int) -> list[float]:
    """The seconds of each claim of a batch; it is given back, so that each finds the same."""
    times = []
    for _ in range(count):
        start = time.perf_counter()
        found = claim_jobs(clock.now())
        times.append(time.perf_counter() - start)
        assert found
        release(found)
    return times


def finished() -> tuple[int, float]:
    """Ticks until nothing is due or the time is over: how many were done, and in a second."""
    start = time.perf_counter()
    done = run_due_jobs(seconds=MOST_SECONDS)
    seconds = time.perf_counter() - start
    assert done.done, done
    assert not done.failed, done
    ScheduledJob.objects.filter(status="waiting", due_at__lte=clock.now()).delete()
    return done.done, done.done / seconds


class PlainQueue:
    """The limit: psycopg alone claims the same batches and finishes their rows."""

    CLAIM = """UPDATE {table} SET claim = gen_random_uuid(), lease_until = now() + interval '4 min'
      WHERE id IN (SELECT id FROM {table} WHERE status = 'waiting' AND due_at <= now()
        AND kind = 'bench.plain' AND (lease_until IS NULL OR lease_until <= now())
        AND "order" = 5 ORDER BY due_at, id LIMIT {batch} FOR UPDATE SKIP LOCKED)
      RETURNING id, claim"""
    COUNT = "UPDATE {table} SET attempts = attempts + 1 WHERE id = %s"
    FINISH = """UPDATE {table} SET status = 'done', done_at = now(), claim = NULL,
      lease_until = NULL WHERE id = ANY(%s) AND claim = %s AND status = 'waiting'"""

    def __init__(self, url: str) -> None:
        self.connection = psycopg.connect(url, autocommit=True)
        names = {"table": ScheduledJob._meta.db_table, "batch": BATCH}
        self.claim, self.finish = self.CLAIM.format(**names), self.FINISH.format(**names)
        self.count = self.COUNT.format(**names)

    def mailed_per_second(self) -> float:
        """A mail each: its try is counted, it is handed over, and its row is finished, a commit
        each; nothing is decided again, and nobody else's words are in it."""
        start, done = time.perf_counter(), 0
        run, mails = self.connection.execute, get_connection()
        mails.open()
        while rows := run(self.claim).fetchall():
            for pk, claim in rows:
                run(self.count, [pk])
                headers = {"Message-ID": f"<{pk}@bench.invalid>"}
                EmailMessage(
                    subject="A day",
                    body="We expect you.\n" * 9,
                    to=["rosa@example.org"],
                    headers=headers,
                    connection=mails,
                ).send()
                run(self.finish, [[pk], claim])
                done += 1
        seconds = time.perf_counter() - start
        mails.close()
        self.connection.close()
        return done / seconds

    def finished_per_second(self, together: int) -> float:
        """Until nothing is due or the time is over; so many rows are finished by a statement,
        which is a transaction."""
        start, done = time.perf_counter(), 0
        run = self.connection.execute
        while time.perf_counter() - start < MOST_SECONDS:
            rows = run(self.claim).fetchall()
            if not rows:
                break
            for first in range(0, len(rows), together):
                some = rows[first : first + together]
                run(self.finish, [[pk for pk, _ in some], some[0][1]])
            done += len(rows)
        seconds = time.perf_counter() - start
        self.connection.close()
        return done / seconds
