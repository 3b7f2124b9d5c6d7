"""Examples of people and places, of the law, of settings and of the program's own jobs."""

from __future__ import annotations

from datetime import date
from typing import Final

from clients.reminders.selectors import SEND_JOB
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.jobs.models import ScheduledJob
from practice.law.models import JurisdictionLimit
from practice.people_and_places.models.facilities import Facility, FacilityRule
from practice.people_and_places.models.practitioners import Competence, Supervision
from practice.policy.models import PracticeSetting
from tests.api.prepared.practice import Before, Make, Prepared, of_list
from tests.builders import account, practitioner


def _account_of_the_example(p: Prepared) -> None:
    row = account("desk.rivera", Role.FRONT_DESK, p.built.east)
    row.set_password("a long sentence of your own")
    row.save()


def _password_of_the_example(p: Prepared) -> None:
    p.role = Role.FRONT_DESK
    row = p.built.staff[Role.FRONT_DESK]
    row.set_password("the sentence I had before")
    row.save()


def _as_owner(p: Prepared) -> None:
    p.role = Role.OWNER


def _consent_age(p: Prepared) -> str:
    row = {
        "jurisdiction": "US-AL",
        "years": 14,
        "effective_from": "2024-01-01",
        "source": "made up for tests",
        "verified_on": "2026-02-01",
    }
    return str(p.post("consent-ages", row)["id"])


def _licence(p: Prepared) -> str:
    found = p.built.practitioners[Credential.PHYSICAL_THERAPIST].licences
    return str(found.get(jurisdiction="US-PA").pk)


def _supervision(p: Prepared) -> str:
    row = Supervision.objects.create(
        supervisor_id=p.id("practitioner"),
        supervised_id=p.id("supervised practitioner"),
        facility_id=p.id("facility"),
        day=date(2026, 3, 10),
    )
    return str(row.pk)


def _rule(p: Prepared) -> str:
    row = FacilityRule.objects.create(
        facility=p.built.east, technique="passive", allowance="not_allowed", reason="no table"
    )
    return str(row.pk)


def _number_setting(_p: Prepared) -> str:
    """One whose value may be 8; by its name, since what it costs to change one depends on it."""
    rows = PracticeSetting.objects.filter(unit="hours").order_by("group", "key")
    return str(next(one.pk for one in rows if isinstance(one.value, int)))


def _given_up(p: Prepared) -> None:
    client = p.id("client")
    ScheduledJob.objects.create(
        kind=SEND_JOB,
        key="a mail",
        subject=client,
        about=client,
        due_at=clock.now(),
        status=ScheduledJob.Status.GIVEN_UP,
    )


THINGS: Final[dict[str, Make]] = {
    "practitioner": lambda p: str(p.built.practitioners[Credential.PHYSICAL_THERAPIST].pk),
    "supervised practitioner": lambda p: str(
        practitioner("Ari", Credential.PHYSICAL_THERAPIST_ASSISTANT, p.built.east).pk
    ),
    "stand_in": lambda p: str(p.built.practitioners[Credential.OCCUPATIONAL_THERAPIST].pk),
    "facility": lambda p: str(p.built.east.pk),
    "other facility": lambda p: str(p.built.west.pk),
    "room": lambda p: str(p.built.rooms["East 1"].pk),
    "staff": lambda p: str(p.built.staff[Role.FRONT_DESK].pk),
    "token": of_list("auth/tokens"),
    "limit": of_list("jurisdiction-limits"),
    "comparison": lambda p: str(p.post("log/comparisons")["id"]),
    "age": _consent_age,
    "rule": _rule,
    "licence": _licence,
    "competence": lambda p: str(
        p.built.practitioners[Credential.PHYSICAL_THERAPIST].competences.all()[0].pk
    ),
    "supervision": _supervision,
    "setting": _number_setting,
}

BEFORE: Final[dict[str, Before]] = {
    "token-list-POST": _account_of_the_example,
    "token-detail-DELETE": _as_owner,
    "me-PATCH": _password_of_the_example,
    "starter-limits-POST": lambda p: JurisdictionLimit.objects.all().delete(),
    "starter-consent-ages-POST": lambda p: Facility.objects.update(jurisdiction="US-AL"),
    "competence-list-POST": lambda p: Competence.objects.all().delete(),
    "supervision-ending-POST": lambda p: p.id("supervision"),
    "jobs-put-back-POST": _given_up,
}
