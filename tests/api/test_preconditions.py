"""What overwrites the practice's data names the version that it read: no stale overwrite of a
licence, a rule or a threshold (issue 7, B7). Held by a walk over all declarations."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from billing.payers.models import ServiceCode
from practice.core.terms import Credential, Role
from practice.http.commands import Command, CommandView
from practice.law.models import ConsentAge, JurisdictionLimit
from practice.people_and_places.models.practitioners import Licence, Practitioner
from practice.policy.models import PracticeSetting
from tests.api.test_matrix import BY_NAME
from tests.billing.practice_rows import payer
from tests.builders import Built, ok, refused, version_of
from tests.sessions.groups.http import made

FREE = {
    ("me", "PATCH"): "the present password is named, and nothing else is changed",
    ("client-detail", "PATCH"): "a client's own data: the record's events keep both",
    ("emergency-contact-detail", "PATCH"): "one entry, field by field: the events keep both",
    ("unsuitable-time-detail", "PATCH"): "one entry, field by field: the events keep both",
    ("preference", "PUT"): "what narrows is never refused as stale",
    ("session-split", "PUT"): "a session's own plan: the record's events keep both",
    ("authorization-detail", "PATCH"): "a client's own data: the record's events keep both",
}
"""Overwriting commands that do not require If-Match, each with the reason."""


def overwriting() -> dict[tuple[str, str], Command]:
    """Every PUT and PATCH of the API by address and method."""
    return {
        (name, method): declared
        for name, entry in BY_NAME.items()
        if issubclass(view := getattr(entry.callback, "view_class", object), CommandView)
        for method, declared in view.commands.items()
        if method in ("PUT", "PATCH")
    }


def test_every_overwriting_command_requires_the_version_or_says_why_not() -> None:
    free = {key for key, declared in overwriting().items() if declared.if_match != "required"}
    assert free == set(FREE)


def _paula(built: Built) -> Practitioner:
    return built.practitioners[Credential.PHYSICAL_THERAPIST]


def _licence(built: Built) -> str:
    licence = Licence.objects.filter(practitioner=_paula(built))[0]
    return f"practitioners/{licence.practitioner_id}/licences/{licence.pk}"


def _supervision(built: Built) -> str:
    supervised = built.practitioners[Credential.MASSAGE_THERAPIST]
    body = {
        "supervisor_id": str(_paula(built).pk),
        "supervised_id": str(supervised.pk),
        "facility_id": str(built.east.pk),
        "day": "2026-03-10",
    }
    return f"supervisions/{ok(built.api(Role.OWNER).post('supervisions', body), 201)['id']}"


def _service_code(_built: Built) -> str:
    payer()
    return f"service-codes/{ServiceCode.objects.all()[0].pk}"


def _setting(_built: Built) -> str:
    return f"settings/{PracticeSetting.objects.get(group='access', key='token_hours').pk}"


def _consent_age(_built: Built) -> str:
    age = {"jurisdiction": "US-AL", "years": 14, "effective_from": "2020-01-01"}
    return f"consent-ages/{ConsentAge.objects.create(**age, verified_on='2026-01-01').pk}"


def _kind(built: Built) -> str:
    body = {"name": "Follow-up", "purpose": "treatment", "default_minutes": 45}
    return f"session-kinds/{ok(built.api(Role.OWNER).post('session-kinds', body), 201)['id']}"


def _held_slot(built: Built) -> str:
    whose = {"practitioner_id": str(_paula(built).pk), "facility_id": str(built.east.pk)}
    body = {**whose, "weekday": 1, "starts": "10:00", "ends": "12:00"}
    return f"held-slots/{ok(built.api(Role.OWNER).post('held-slots', body), 201)['id']}"


def _travel_time(built: Built) -> str:
    both = {"facility_id": str(built.east.pk), "other_facility_id": str(built.west.pk)}
    sent = built.api(Role.OWNER).post("travel-times", {**both, "minutes": 35})
    return f"travel-times/{ok(sent, 201)['id']}"


def _class(built: Built) -> str:
    return f"classes/{made(built)['id']}"


ROWS: dict[str, tuple[Callable[[Built], str], dict[str, Any]]] = {
    "practice": (lambda _: "practice", {"name": "Another name"}),
    "setting-detail": (_setting, {"value": 13, "citation": "practice policy"}),
    "limit-detail": (
        lambda _: f"jurisdiction-limits/{JurisdictionLimit.objects.all()[0].pk}",
        {"verified_on": "2026-02-02"},
    ),
    "consent-age-detail": (_consent_age, {"years": 15}),
    "facility-detail": (lambda built: f"facilities/{built.east.pk}", {"name": "East side"}),
    "room-detail": (lambda built: f"rooms/{built.rooms['East 1'].pk}", {"name": "Annexe"}),
    "practitioner-detail": (
        lambda built: f"practitioners/{_paula(built).pk}",
        {"name": "Nia Brandt"},
    ),
    "licence-detail": (_licence, {"number": "PT-NEW-1"}),
    "staff-detail": (
        lambda built: f"staff/{built.staff[Role.FRONT_DESK].pk}",
        {"username": "front"},
    ),
    "session-kind-detail": (_kind, {"name": "Second visit"}),
    "supervision-detail": (_supervision, {"co_signs": True, "reason": "First weeks here."}),
    "held-slot-detail": (_held_slot, {"ends": "13:00"}),
    "class-detail": (_class, {"title": "Balance"}),
    "travel-time-detail": (_travel_time, {"minutes": 40}),
    "catalogue-detail": (lambda _: "stretch-catalogue/triceps", {"is_active": False}),
    "payer-detail": (lambda _: f"payers/{payer().pk}", {"name": "Lakeside"}),
    "service-code-detail": (_service_code, {"description": "stretch"}),
}
"""What is overwritten, by its address: how to find one, and a change of it that is in order."""


def test_the_walk_below_tries_all_that_require_it() -> None:
    drafts = {"session-note"}
    required = {name for name, _ in overwriting() if (name, "PATCH") not in FREE}
    assert {n for n in required if (n, "PUT") not in FREE} - drafts == set(ROWS)


@pytest.mark.parametrize("name", sorted(ROWS))
def test_without_it_428_stale_412_and_with_the_etag_that_was_read_it_is_taken(
    built: Built, name: str
) -> None:
    find, change = ROWS[name]
    path = find(built)
    owner = built.api(Role.OWNER)
    read = owner.get(path)
    tag = ok(read) and read["ETag"]
    refused(owner.patch(path, change), 428, "version_required")
    ahead = version_of(read) + 1
    refused(owner.patch(path, change, match=ahead), 412, "stale_version")
    assert owner.get(path)["ETag"] == tag, "what was refused changed nothing"
    changed = owner.patch(path, change, HTTP_IF_MATCH=tag)
    ok(changed)
    assert version_of(changed) == version_of(owner.get(path)) != version_of(read)
    refused(owner.patch(path, change, HTTP_IF_MATCH=tag), 412, "stale_version")


@pytest.mark.parametrize("path", ["{other}/licences/{licence}", "{paula}/licences/{paula}"])
def test_a_licence_is_read_below_its_practitioner_alone(built: Built, path: str) -> None:
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST].pk
    other = built.practitioners[Credential.MASSAGE_THERAPIST].pk
    licence = Licence.objects.filter(practitioner=paula)[0].pk
    where = "practitioners/" + path.format(paula=paula, other=other, licence=licence)
    refused(built.api(Role.OWNER).get(where), 404, "not_found")
