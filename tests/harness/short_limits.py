"""A worker whose lease, tick and limits last seconds: ``celery -A tests.harness.short_limits``.

With ``LIMITS_OFF=1`` neither the tick nor a group of mails ends by time, and no lease is renewed:
the control.
"""

import os
from datetime import timedelta
from typing import Any

from celery.signals import worker_init

from practice.celery import app

LEASE_SECONDS, TICK_BUDGET_SECONDS, MAIL_SECONDS = 8, 1.5, 0.5
# Some seconds between the budget and the limits: a busy machine stands still now and then.
app.conf.update(task_soft_time_limit=6, task_time_limit=7)


@worker_init.connect
def shorten(**_: Any) -> None:
    from practice.jobs import claims, handing_over, services

    claims.LEASE = timedelta(seconds=LEASE_SECONDS)
    off = os.environ.get("LIMITS_OFF") == "1"
    if off:
        app.conf.update(task_soft_time_limit=60, task_time_limit=60)
        services.renew_lease = lambda item: None
        handing_over.renew_leases = lambda items: None
        handing_over.UNDER_WAY_SECONDS = 60  # type: ignore[misc]  # Off.
    budget = 60 if off else TICK_BUDGET_SECONDS
    services.run_due_jobs.__kwdefaults__["seconds"] = budget
