"""Very few neutrophils and a class: no group, unless a physician cleared the work; then the
practitioner reads why it was not sure (settings ``permissions.neutrophils_*``)."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest

from clients.health.domain.content import BloodCount
from clients.health.domain.terms import BloodCountKind
from clients.orders.domain.events import OrderFiled
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, OrderSubject, Prescriber
from practice.clock import clock
from practice.core.terms import Role
from tests.builders import Built, build_practice, ok
from tests.sessions.groups.http import ask_place, made
from tests.sessions.people import consent, registered, reviewed, tell

pytestmark = pytest.mark.django_db


def with_neutrophils(built: Built, value: float) -> UUID:
    client = registered(built)
    drawn = clock.now().date() - timedelta(days=1)
    kind = BloodCountKind.NEUTROPHILS
    count = BloodCount(id=uuid4(), kind=kind, value=value, drawn_on=drawn)
    tell(built, client, consent(), reviewed(blood_counts=(count,)))
    return client


def cleared(built: Built, client: UUID) -> None:
    order = MedicalOrder(
        id=uuid4(),
        kind=OrderKind.CLEARANCE,
        subjects=(OrderSubject.WORK_WITH_LOW_COUNTS,),
        prescriber=Prescriber.PHYSICIAN,
        prescriber_name="Dr. Example",
        given_on=clock.now().date(),
    )
    tell(built, client, OrderFiled(order=order))


def warned(built: Built, session_id: str, role: Role) -> dict[str, str]:
    shown: dict[str, Any] = ok(built.api(role).get(f"sessions/{session_id}"))
    return {one["code"]: one["text"] for one in shown["warnings"]}


@pytest.mark.parametrize(("value", "status"), [(500, 201), (499, 409)])
def test_very_few_neutrophils_keep_the_client_out_of_a_class(value: float, status: int) -> None:
    built = build_practice()
    answer = ask_place(built, made(built)["id"], with_neutrophils(built, value))
    assert answer.status_code == status, answer.content
    if status == 409:
        assert answer.json()["code"] == "not_in_a_group"


def test_a_clearance_lifts_it_as_the_verdict_says_and_the_practitioner_reads_why() -> None:
    built = build_practice()
    client = with_neutrophils(built, 400)
    cleared(built, client)
    session = ok(ask_place(built, made(built)["id"], client), 201)["session"]
    text = warned(built, session["id"], Role.PRACTITIONER)["blood.neutrophils_precautions"]
    assert "neutrophils 400 per microliter" in text
    assert "blood.neutrophils_precautions" not in warned(built, session["id"], Role.FRONT_DESK)
