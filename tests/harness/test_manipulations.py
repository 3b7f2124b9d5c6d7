"""Whatever is changed past the program is named by a check (ruling 63).

``python -m pytest -s tests/harness/test_manipulations.py`` prints the table: what was done, and
the first sentence that names it.
"""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core.management import call_command
from django.db import transaction

from practice.audit import rebuild
from practice.audit.sealing import seal_new_rows
from practice.audit.verification import verify_log
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.eventstore import guards
from practice.jobs.services import run_due_jobs
from practice.keys.keystore import keystore
from tests.billing.practice_rows import payer
from tests.builders import Built, build_practice, ok, seal_practice
from tests.harness.furnishing import authorization
from tests.harness.manipulations import (
    COMPARISON,
    NAMED_BY_NOTHING,
    VERIFICATION,
    Manipulation,
    manipulations,
)
from tests.sessions.booking.http import WELL, book, local
from tests.sessions.people import open_client
from tests.sessions.stretches.stories import discharged

pytestmark = pytest.mark.django_db


class _Undone(Exception):
    """Rolls a manipulation back."""


def faults(check: str) -> list[str]:
    keystore.invalidate()
    return verify_log().faults if check == VERIFICATION else rebuild.compare().differences


def named(one: Manipulation) -> list[str]:
    """What the check of a manipulation says of it; afterwards everything is as before."""
    found: list[str] = []
    try:
        with transaction.atomic():
            guards.uninstall()
            one.do()
            found = faults(one.named_by)
            raise _Undone
    except _Undone:
        return found


def erased(built: Built, client: Any) -> None:
    owner, hands = built.api(Role.OWNER), built.api(Role.PRACTITIONER)
    ok(owner.post(f"clients/{client}/erasure", {"reason": "asked", "before_retention": True}))
    ok(hands.post(f"clients/{client}/erasure/approval"))
    run_due_jobs()


def a_full_practice() -> None:
    """Something of everything: sessions, a draft, stretches with re-checks, an erased record."""
    built = build_practice()
    client, leaver = open_client(built), open_client(built)
    open_client(built)
    discharged(built, client)
    session = book(built, client, local(-2), attendance="attended", answers=WELL)["id"]
    draft = {"device": "d", "sequence": 1, "subjective": "better"}
    ok(built.api(Role.PRACTITIONER).patch(f"sessions/{session}/note", draft, match=0))
    owner = built.api(Role.OWNER)
    paula = built.practitioners[Credential.PHYSICAL_THERAPIST]
    for number, gender in enumerate(("man", "woman"), start=1):
        ok(owner.patch(f"practitioners/{paula.pk}", {"gender": gender}, match=number))
    desk = built.api(Role.FRONT_DESK)
    ok(desk.post(f"clients/{client}/authorizations", authorization(payer().pk)), 201)
    for _ in range(3):
        ok(desk.get(f"clients/{client}"))
    seal_practice()
    erased(built, leaver)
    with clock.at(clock.now() + timedelta(hours=1)):
        assert seal_new_rows()
        call_command("digest")


def test_every_manipulation_is_named_by_its_check() -> None:
    a_full_practice()
    assert faults(VERIFICATION) == []
    assert faults(COMPARISON) == []
    unseen, done = [], 0
    for one in list(manipulations()):
        said = named(one)
        done += 1
        print(f"{one.name:58} {one.named_by:13} {said[0] if said else 'NOTHING'}")
        if not said:
            unseen.append(one.name)
    for name, reason in NAMED_BY_NOTHING.items():
        print(f"{name:58} {'nothing':13} {reason}")
    print(f"{done} manipulations, {len(unseen)} unseen")
    assert done > 150
    assert unseen == []
    assert faults(VERIFICATION) == []
