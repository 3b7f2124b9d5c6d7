"""The Celery application."""

import os
from typing import Any

from celery import Celery
from celery.signals import worker_init

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "practice.settings")
# Django's checks import every view, half the start of a worker; manage.py and the tests run them.
os.environ.setdefault("CELERY_SKIP_CHECKS", "1")

app = Celery("practice")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["practice.jobs"])


@worker_init.connect
def try_keys(**_: Any) -> None:
    """A worker with the keys of another practice does not start."""
    from practice.keys.canary import WrongKeysError, refuse_to_start_with_wrong_keys

    try:
        refuse_to_start_with_wrong_keys()
    except WrongKeysError as error:
        # Celery logs what a receiver raises and goes on, but for this.
        raise SystemExit(f"The practice record cannot start: {error}") from error


@worker_init.connect
def leave_start_up_alone(**_: Any) -> None:
    """Before the pool is forked: its processes then share the memory of what was imported."""
    from practice.startup import collector

    collector.leave_start_up_alone()
