"""Warnings of higher layers: who is asked, and that each looks up once."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any
from uuid import UUID, uuid4

import pytest

from practice.core.appspec import installed
from practice.core.decisions import Actor, Advisory, Context, States
from practice.core.reasons import Reason
from practice.core.terms import Role
from practice.work.advising import Advisors


def test_only_those_who_answer_the_question_are_asked_and_look_up_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    looked_up: list[UUID] = []

    def look_up(client_id: UUID, states: States) -> str:
        looked_up.append(client_id)
        return "found"

    def advise(facts: Any, states: States, found: str, ctx: Context) -> list[Reason]:
        return [Reason(code=str(facts), text=found, source="a test")]

    asked = Advisory(question="asked", slices=(), advise=advise, lookup=look_up)
    other = replace(asked, question="another")
    monkeypatch.setattr(installed, "advisories", [asked, other])
    client_id = uuid4()
    context = Context(datetime(2026, 3, 2, tzinfo=UTC), Actor(id=uuid4(), role=Role.OWNER), uuid4)
    advisors = Advisors("asked", client_id, lambda slices: States({}), context)
    assert [one.code for one in [*advisors.on(1), *advisors.on(2)]] == ["1", "2"]
    assert looked_up == [client_id]
