"""Who may witness a spoken consent: nobody who gives or obtains it."""

from __future__ import annotations

from typing import Any

import pytest

from practice.core.terms import Role
from tests.builders import Api, Built, ok, refused
from tests.clients.bodies import CLIENT, CONSENT

SPOKEN = {
    **{key: value for key, value in CONSENT.items() if key != "signed_on"},
    "form": "spoken_with_witness",
}
GUARDIAN = {"signer": "guardian", "guardian_name": "Mina Okafor", "guardian_relation": "mother"}


def consent_of(desk: Api, **details: Any) -> str:
    return f"clients/{ok(desk.post('clients', {**CLIENT, **details}), 201)['id']}/touch-consent"


@pytest.mark.parametrize("witness", ["Pilar Quist", " pilar  QUÍST ", "Iris Lindqvist"])
def test_a_party_to_the_consent_is_no_witness(desk: Api, witness: str) -> None:
    path = consent_of(desk)
    said = {**SPOKEN, "obtained_by": "Pilar Quist", "witness": witness}
    problem = refused(desk.post(path, said), 400, "invalid")
    assert [error["field"] for error in problem["errors"]] == ["witness"]
    assert ok(desk.get(path))["status"] == "none"
    assert ok(desk.post(path, {**said, "witness": "Sam Carver"}), 201)["witness"] == "Sam Carver"


def test_whoever_enters_it_obtained_it_unless_another_is_named(built: Built, desk: Api) -> None:
    path, me = consent_of(desk), built.staff[Role.FRONT_DESK].name
    refused(desk.post(path, {**SPOKEN, "witness": me}), 400, "invalid")
    by_another = {**SPOKEN, "witness": me, "obtained_by": "Pilar Quist"}
    assert ok(desk.post(path, by_another), 201)["witness"] == me


def test_the_guardian_who_consents_is_no_witness(desk: Api) -> None:
    path = consent_of(desk, birth_date="2014-06-01")
    said = {**SPOKEN, **GUARDIAN, "until": "2026-12-31"}
    refused(desk.post(path, {**said, "witness": "Mina Okafor"}), 400, "invalid")
    assert ok(desk.post(path, {**said, "witness": "Sam Carver"}), 201)["signer"] == "guardian"
