"""A new version of the rules re-evaluates sessions to come once, at the first tick."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.management import call_command

from practice.jobs.models import ScheduledJob
from practice.law.models import JurisdictionLimit
from sessions.calendar.models import Session
from sessions.reevaluation import services
from tests.builders import Built, build_practice
from tests.sessions.booking.http import book, local
from tests.sessions.people import open_client

pytestmark = pytest.mark.django_db(transaction=True)

NEXT = services.RULES_VERSION + 1


@pytest.fixture
def built(tmp_path: Any, settings: Any) -> Built:
    settings.VAR = tmp_path
    return build_practice()


def booked(built: Built) -> Session:
    """A session to come that is wider than the rules now make it; nothing has said so."""
    made = book(built, open_client(built), local(3))
    call_command("run_jobs")
    JurisdictionLimit.objects.all().delete()
    return Session.objects.get(pk=made["id"])


def sweeps() -> list[tuple[str, str]]:
    rows = ScheduledJob.objects.filter(kind=services.REEVALUATION_SWEEP, occasion__contains="rules")
    return list(rows.order_by("occasion").values_list("occasion", "status"))


def test_the_version_at_hand_is_swept_once(built: Built) -> None:
    session = booked(built)
    for _ in range(2):
        call_command("run_jobs")
    assert sweeps() == [(f"rules {services.RULES_VERSION}", "done")]
    session.refresh_from_db()
    assert not session.flagged, "the same rules look at it no second time"


def test_the_first_tick_of_a_new_version_flags_what_it_narrows(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    session = booked(built)
    monkeypatch.setattr(services, "RULES_VERSION", NEXT)
    call_command("run_jobs")
    session.refresh_from_db()
    assert (session.flagged, session.flag_cause) == (True, "rules")
    call_command("run_jobs")
    assert [occasion for occasion, _ in sweeps()] == [f"rules {NEXT - 1}", f"rules {NEXT}"]


def test_a_process_with_older_rules_leaves_it_to_the_new_one(
    built: Built, monkeypatch: pytest.MonkeyPatch
) -> None:
    session = booked(built)
    with monkeypatch.context() as newer:
        newer.setattr(services, "RULES_VERSION", NEXT)
        services.write_jobs([services.rules_sweep(services.clock.now())])
    call_command("run_jobs")
    assert (f"rules {NEXT}", "waiting") in sweeps()
    session.refresh_from_db()
    assert not session.flagged
    ScheduledJob.objects.filter(occasion=f"rules {NEXT}").update(due_at=services.clock.now())
    monkeypatch.setattr(services, "RULES_VERSION", NEXT)
    call_command("run_jobs")
    session.refresh_from_db()
    assert session.flagged
