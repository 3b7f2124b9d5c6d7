"""A typed signature that bears another name than the signer's is confirmed, and never lost."""

from __future__ import annotations

from typing import Any

import pytest

from practice.core.terms import Role
from tests.builders import Api, Built, ok, refused
from tests.clients.bodies import CLIENT, CONSENT
from tests.clients.test_witness import GUARDIAN

TYPED = {
    **{key: value for key, value in CONSENT.items() if key != "signed_on"},
    "form": "typed_signature",
}


def consent_of(desk: Api, **details: Any) -> str:
    return f"clients/{ok(desk.post('clients', {**CLIENT, **details}), 201)['id']}/touch-consent"


def codes(shown: Any) -> list[str]:
    return [one["code"] for one in shown["warnings"]]


@pytest.mark.parametrize("name", ["Iris Lindqvist", "LINDQVIST, Íris", "irislindqvist"])
def test_the_clients_own_name_however_it_is_written_asks_for_nothing(desk: Api, name: str) -> None:
    given = ok(desk.post(consent_of(desk), {**TYPED, "typed_name": name}), 201)
    assert "another_name_typed" not in codes(given)
    assert given["grants"][0]["confirmed"] == []


@pytest.mark.parametrize("name", ["Iris Lindquist", "Iris", "Amara Okafor"])
def test_another_name_is_kept_only_once_it_is_confirmed(desk: Api, name: str) -> None:
    path = consent_of(desk)
    said = {**TYPED, "typed_name": name}
    problem = refused(desk.post(path, said), 400, "another_name_typed")
    assert problem["confirm"] == "confirmed_typed_name"
    assert name in problem["detail"]
    assert "Íris Lindqvist" in problem["detail"]
    refused(desk.post(path, {**said, "confirmed_typed_name": False}), 400, "another_name_typed")
    assert ok(desk.get(path))["status"] == "none"
    given = ok(desk.post(path, {**said, "confirmed_typed_name": True}), 201)
    assert given["status"] == "granted"
    assert "another_name_typed" in codes(given)


def test_what_was_confirmed_stands_in_the_answer_and_in_the_history(built: Built) -> None:
    desk = built.api(Role.FRONT_DESK)
    path = consent_of(desk)
    said = {**TYPED, "typed_name": "Amara Okafor", "confirmed_typed_name": True}
    ok(desk.post(path, said), 201)
    shown = ok(desk.get(path))
    assert "another_name_typed" in codes(shown)
    assert "Amara Okafor" in shown["grants"][0]["confirmed"][0]
    history = ok(built.api(Role.OWNER).get(path.replace("touch-consent", "history")))["results"]
    texts = [one["text"] for one in history]
    assert any("Confirmed by whoever recorded it: The name typed" in text for text in texts)


def test_a_guardian_types_their_own_name_and_not_the_clients(desk: Api) -> None:
    said = {**TYPED, **GUARDIAN, "until": "2026-12-31"}
    child = {"birth_date": "2014-06-01"}
    ok(desk.post(consent_of(desk, **child), {**said, "typed_name": "OKAFOR Mina"}), 201)
    clients = {**said, "typed_name": "Iris Lindqvist"}
    refused(desk.post(consent_of(desk, **child), clients), 400, "another_name_typed")


def test_a_name_typed_beside_a_paper_is_no_signature(desk: Api) -> None:
    paper = {**CONSENT, "typed_name": "Amara Okafor"}
    assert "another_name_typed" not in codes(ok(desk.post(consent_of(desk), paper), 201))
