"""Ruling 62: every answer that names a client leaves a row in the log of reads; a GET that
forgets it is found by this walk over all addresses."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.urls import reverse

from billing.authorizations.models import Visit
from clients.reminders.models import Reminder
from practice.accesslog.models import AccessEntry
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.jobs.services import run_due_jobs
from tests.api.matrix import MATRIX
from tests.api.test_matrix import BY_NAME
from tests.billing.test_api_sessions import authorize
from tests.billing.test_api_summaries import ASK
from tests.billing.test_dated_rules import codes_from
from tests.billing.world import World
from tests.builders import Built, ok, practitioner
from tests.sessions.booking.http import WELL, book, key, local, took_place
from tests.sessions.groups.http import made, placed
from tests.sessions.notes.co_signing import supervise
from tests.sessions.notes.http import Device, line, whole_note
from tests.sessions.people import open_client, reminder_of
from tests.sessions.series.http import book_series
from tests.sessions.stretches.stories import discharged, first_open
from tests.sessions.stretches.test_home_exercises import teach
from tests.sessions.waiting_list.http import waits

pytestmark = pytest.mark.django_db

_PRACTICE = "the practice's own data; no client is named"
NAMES_NO_CLIENT = {
    **dict.fromkeys(
        (
            *("absence-detail", "absence-list", "closure-detail", "closure-list"),
            *("extra-hours-list", "facility-holidays", "held-slot-detail", "held-slot-list"),
            *("session-kind-detail", "session-kind-list"),
            *("travel-time-detail", "travel-time-list"),
            *("catalogue-detail", "catalogue-list", "catalogue-versions", "competence-list"),
            *("consent-age-detail", "consent-age-list", "facility-detail", "facility-list"),
            *("facility-rule-list", "licence-detail", "licence-list", "limit-detail"),
            *("limit-list", "payer-detail", "payer-list", "practice", "practitioner-detail"),
            *("practitioner-list", "room-detail", "room-list", "service-code-detail"),
            *("service-code-list", "setting-change-list", "setting-detail", "setting-list"),
            *("setting-revision", "staff-detail", "staff-list", "supervision-list"),
            "supervision-detail",
        ),
        _PRACTICE,
    ),
    "docs": "a description of the API",
    "schema": "a description of the API",
    "start": "addresses to begin with",
    "health-live": "whether the program runs",
    "health-ready": "whether the program runs",
    "me": "the caller's own account",
    "token-list": "the caller's own tokens",
    "calendar-feed-list": "links of the caller's own; what is behind them is not in it",
    "calendar-feed-file": "logs its maker, once a day: tests/sessions/feeds/test_feeds.py",
    "no-more-messages": "one page for every link; whose it is is not in it",
    "unknown-reply-list": "texts from numbers of nobody; assigned to a client they are empty there",
    "class-list": "times, places and how many are left; who has a place is not in it",
    "owner-month": "counts by practitioner and room; no client is named",
    "open-times": "times of practitioners and rooms; whose sessions take the others is not said",
    "coverable-visit-list": "logs those with visits to cover: tests/billing/test_api_coverage.py",
    "log-comparison": "counts and ids of rows that differ; no name, nothing of the record",
    "log-comparison-detail": "counts and ids of rows that differ; no name, nothing of the record",
    "log-verification": "positions of the log; no name, nothing of the record",
}
"""Addresses that may be read without a row, each with the reason."""

REFUSED = {
    ("health-history", Role.FRONT_DESK): "a reviewed history is read by practitioners",
    ("record-request", Role.FRONT_DESK): "only where the practice lets the desk",
    ("record-request-printout", Role.FRONT_DESK): "only where the practice lets the desk",
}
"""What a role that may use an address is refused by what stands in the record."""

LOGGED = sorted(
    name for name, row in MATRIX.items() if "GET" in row and name not in NAMES_NO_CLIENT
)


def prepared(world: World) -> tuple[dict[str, Any], dict[str, dict[str, str]]]:
    """A client with something in every part of the record: ids of addresses, and queries."""
    built = world.built
    world.client_id = client_id = open_client(built)
    authorization = authorize(world)
    discharged(built, client_id)
    past = took_place(built, client_id, hands_on_today="no")
    phone = Device(built, past["id"])
    by_hand = line()
    phone.save(**whole_note(lines=[by_hand], explanations={by_hand["line_id"]: "Asked for."}))
    ok(phone.sign(), 201)
    phone.save(split_reason="Tired.")
    book(built, client_id, local(-4), attendance="attended")
    exercise = teach(built, client_id)
    paper = {"kind": "referral", "asked_of": {"name": "Otto Lang", "role": "physician"}}
    ok(built.api(Role.FRONT_DESK).post(f"clients/{client_id}/papers", paper), 201)
    goal = {"text": "Reaches the upper shelf."}
    ok(world.paula.post(f"clients/{client_id}/treatment-goals", goal), 201)
    said = f"clients/{client_id}/home-exercises/{exercise['id']}/reports"
    ok(world.paula.post(said, {"followed": "partly"}), 201)
    fall = {"kind": "fall", "what_happened": "Slipped."}
    ok(built.api(Role.FRONT_DESK).post(f"clients/{client_id}/incidents", fall), 201)
    export = f"authorizations/{authorization['id']}/visit-summary"
    summary = ok(world.billing.post(export, {**ASK, "overrule": "Due."}, key=key()), 201)
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    given = world.owner.post(f"clients/{client_id}/record-requests", {}, key=key())
    away = local(45)[:10]
    book(built, client_id, local(45))
    absence = {"practitioner_id": str(paula.pk), "first_day": away, "kind": "ill"}
    closure = {"facility_id": str(built.east.pk), "first_day": away, "reason": "Snow."}
    ids = {
        "client_id": client_id,
        "absence_id": ok(world.owner.post("absences", absence), 201)["id"],
        "closure_id": ok(world.owner.post("closures", closure), 201)["id"],
        "record_request_id": ok(given, 201)["id"],
        "authorization_id": authorization["id"],
        "home_exercise_id": exercise["id"],
        "payer_id": world.payer.pk,
        "waiting_id": waits(built, client_id)["id"],
        "class_id": class_with(built, client_id),
        "series_id": book_series(built, client_id, starts_at=local(30, 9))["id"],
        "recheck_id": first_open(built, client_id)["id"],
        "session_id": past["id"],
        "summary_id": summary["id"],
        "visit_id": Visit.objects.get().pk,
        "progress_note_id": note_written(world),
    }
    _awaits_co_signature(built, client_id)
    reminder_of(client_id, uuid4(), "sent")
    theirs = reminder_of(client_id, uuid4(), "listed")
    Reminder.objects.filter(pk=theirs.pk).update(addressee="practitioner", practitioner_id=paula.pk)
    run_due_jobs()  # The re-check is on the call list.
    where = {"practitioner_id": str(paula.pk), "facility_id": str(built.east.pk)}
    codes_from(world, (clock.now() - timedelta(days=5)).date().isoformat())
    free = {**where, "starts_at": local(40, 11), "minutes": "60"}
    queries = {
        "waiting-fits": free,
        "client-permissions": where,
        "reading-chart": {"movement": "shoulder_abduction", "side": "right"},
        "day-sheet": (sheet := {"facility_id": where["facility_id"], "day": past["local_date"]}),
        "day-sheet-printout": sheet,
    }
    return ids, queries


def note_written(world: World) -> str:
    """A progress note for a day long past; the day that was signed waits for one."""
    rule = {"treatment_days": 1, "source": "contract of 2026-01-04"}
    change = {"progress_note_rule": rule}
    path = f"payers/{world.payer.pk}"
    ok(world.billing.patch(path, change, match=world.payer_revision()))
    body = {"covers_until": world.sign().local_date.isoformat(), "kept_as": "paper"}
    made = ok(world.paula.post(f"clients/{world.client_id}/progress-notes", body), 201)
    return str(made["id"])


def _awaits_co_signature(built: Built, client_id: UUID) -> None:
    session = book(built, client_id, local(-2), attendance="attended", answers=WELL)
    rosa = practitioner("Rosa Amsel", Credential.PHYSICAL_THERAPIST, built.east)
    supervise(built, rosa, date.fromisoformat(session["local_date"]), co_signs=True)
    phone = Device(built, session["id"])
    phone.save(**whole_note())
    ok(phone.sign(), 201)


def class_with(built: Built, client_id: UUID) -> str:
    class_id: str = made(built, local(31, 15))["id"]
    placed(built, class_id, client_id)
    return class_id


def rows(staff_id: UUID, client_id: UUID) -> int:
    read = AccessEntry.Outcome.READ
    return AccessEntry.objects.filter(staff_id=staff_id, client_id=client_id, outcome=read).count()


@pytest.mark.parametrize("role", list(Role))
def test_every_read_that_names_a_client_leaves_a_row(db: None, role: Role) -> None:
    world = World()
    ids, queries = prepared(world)
    api, staff = world.built.api(role), world.built.staff[role].pk
    silent, unread = [], []
    for name in LOGGED:
        if role.value not in MATRIX[name]["GET"] or (name, role) in REFUSED:
            continue
        wanted = {key: ids[key] for key in BY_NAME[name].pattern.converters}
        before = rows(staff, world.client_id)
        answer = api.get(reverse(name, kwargs=wanted), queries.get(name, {}))
        if answer.status_code != 200:
            unread.append((name, answer.status_code, getattr(answer, "content", b"")[:300]))
        elif rows(staff, world.client_id) == before:
            silent.append(name)
    assert not unread, "the walk has to read it to know"
    assert not silent


def test_the_exceptions_are_addresses_that_are_read() -> None:
    known = {name for name, row in MATRIX.items() if "GET" in row}
    assert set(NAMES_NO_CLIENT) <= known
    assert not {name for name in NAMES_NO_CLIENT if "client" in str(BY_NAME[name].pattern)}
