"""Consent over HTTP: what stands, what is suspended and why; guardians and interpreters."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from practice.audit.rebuild import compare
from practice.clock import clock
from practice.core.terms import Role
from practice.people_and_places.models.facilities import Facility
from tests.builders import NOBODY_KNOWS, Api, Built, ok, refused
from tests.clients.bodies import CLIENT, CONSENT


def ago(hours: float) -> str:
    return (clock.now() - timedelta(hours=hours)).isoformat()


def codes(shown: dict[str, Any]) -> set[str]:
    return {warning["code"] for warning in shown["warnings"]}


def test_a_withdrawal_said_before_the_renewal_suspends_it_until_the_client_was_asked(
    desk: Api, client_id: str
) -> None:
    """Ruling 46."""
    path = f"clients/{client_id}/touch-consent"
    ok(desk.post(path, {**CONSENT, "signed_on": "2026-02-01"}), 201)
    renewed = ok(desk.post(path, {**CONSENT, "occurred_at": ago(1)}), 201)
    assert codes(renewed) == set()
    shown = ok(desk.post(f"{path}/withdrawal", {"occurred_at": ago(2), "reason": "by phone"}))
    assert (shown["status"], shown["in_force"]) == ("suspended", False)
    assert codes(shown) == {"consent.suspended"}
    newest, oldest = shown["grants"]
    assert (newest["status"], newest["can_be_confirmed"]) == ("suspended", True)
    assert (oldest["status"], oldest["can_be_confirmed"]) == ("ended", False)
    assert "2026-03-02" in newest["why"]
    assert shown["narrowings"][0]["reason"] == "by phone"

    confirming = f"{path}/confirmation"
    ended = {"consent_id": oldest["consent_id"]}
    refused(desk.post(confirming, ended), 409, "consent_not_suspended")
    refused(desk.post(confirming, {"consent_id": str(NOBODY_KNOWS)}), 404, "not_found")
    asked = {"consent_id": newest["consent_id"], "reason": "asked by phone"}
    restored = ok(desk.post(confirming, asked))
    assert (restored["status"], restored["in_force"]) == ("granted", True)
    assert restored["consent_id"] == newest["consent_id"]
    assert codes(restored) == set()
    assert compare().differences == []


def test_a_paper_of_yesterday_entered_after_todays_does_not_vanish_silently(
    desk: Api, client_id: str
) -> None:
    """Ruling 46."""
    path = f"clients/{client_id}/touch-consent"
    today = ok(desk.post(path, CONSENT), 201)
    late = ok(desk.post(path, {**CONSENT, "signed_on": "2026-03-01"}), 201)
    assert late["consent_id"] == today["consent_id"]
    assert codes(late) == {"consent.not_counting"}
    assert [one["status"] for one in late["grants"]] == ["replaced", "stands"]
    undated = {key: value for key, value in CONSENT.items() if key != "signed_on"}
    answer = desk.post(path, undated)
    assert answer.status_code == 400
    assert [error["field"] for error in answer.json()["errors"]] == ["signed_on"]


def test_a_part_is_withdrawn_and_shown_as_missing_of_the_consent_that_stands(
    desk: Api, client_id: str
) -> None:
    """Ruling 46: within its scope."""
    path = f"clients/{client_id}/touch-consent"
    ok(desk.post(path, CONSENT), 201)
    part = {"regions": [{"region": "arm", "side": "left"}], "techniques": ["active_isolated"]}
    shown = ok(desk.post(f"{path}/withdrawal", part))
    assert (shown["status"], shown["in_force"]) == ("granted", True)
    assert shown["narrowed"] == [{**part, "practitioner_ids": []}]
    assert shown["grants"][0]["why"] == "It stands, without: left arm; active isolated."
    again = ok(desk.post(f"{path}/withdrawal", part))
    assert again["version"] == shown["version"]
    whole = ok(desk.post(f"{path}/withdrawal", {}))
    assert whole["status"] == "withdrawn"


def registered(desk: Api, **details: Any) -> str:
    return f"clients/{ok(desk.post('clients', {**CLIENT, **details}), 201)['id']}/touch-consent"


def test_a_minor_does_not_sign_alone_and_the_table_of_ages_decides(
    built: Built, desk: Api, owner: Api
) -> None:
    """Ruling 56."""
    path = registered(desk, birth_date="2010-06-01")
    answer = desk.post(path, CONSENT)
    assert answer.status_code == 400
    assert [error["field"] for error in answer.json()["errors"]] == ["signer"]
    guardian = {"signer": "guardian", "guardian_name": "Mina Okafor", "guardian_relation": "mother"}
    given = ok(desk.post(path, {**CONSENT, **guardian}), 201)
    assert (given["signer"], given["guardian_name"]) == ("guardian", "Mina Okafor")
    row = {
        "jurisdiction": built.east.jurisdiction,
        "years": 14,
        "effective_from": "2020-01-01",
        "source": "made up for tests",
        "verified_on": "2026-02-01",
    }
    made = ok(owner.post("consent-ages", row), 201)
    assert ok(desk.get("consent-ages"))["results"] == [made]
    assert ok(desk.post(path, CONSENT), 201)["signer"] == "client"
    higher = ok(owner.patch(f"consent-ages/{made['id']}", {"years": 16}, match=1))
    assert (higher["years"], higher["revision"]) == (16, 2)
    assert ok(desk.get(f"consent-ages/{made['id']}")) == higher
    assert desk.post(path, CONSENT).status_code == 400
    wrong = owner.patch(f"consent-ages/{made['id']}", {"effective_to": "2019-01-01"}, match=2)
    assert wrong.status_code == 400


@pytest.mark.parametrize(
    ("interpreter", "field"),
    [
        ({"interpreter_name": "Luz Ferrer"}, "interpreter_of_age"),
        ({"interpreter_name": "Luz Ferrer", "interpreter_of_age": False}, "interpreter_of_age"),
        ({"interpreter_of_age": True}, "interpreter_name"),
    ],
)
def test_an_interpreter_is_named_and_of_age(
    desk: Api, client_id: str, interpreter: dict[str, Any], field: str
) -> None:
    """Ruling 56."""
    answer = desk.post(f"clients/{client_id}/touch-consent", {**CONSENT, **interpreter})
    assert answer.status_code == 400
    assert [error["field"] for error in answer.json()["errors"]] == [field]


def test_a_consent_in_another_language_warns_unless_it_was_interpreted(desk: Api) -> None:
    """Ruling 56."""
    path = registered(desk, language="es-MX")
    assert codes(ok(desk.post(path, CONSENT), 201)) == {"consent.language"}
    assert codes(ok(desk.post(path, {**CONSENT, "language": "es"}), 201)) == set()
    interpreted = {"interpreter_name": "Luz Ferrer", "interpreter_of_age": True}
    shown = ok(desk.post(path, {**CONSENT, **interpreted}), 201)
    assert codes(shown) == set()
    assert shown["interpreter_name"] == "Luz Ferrer"


def test_an_unknown_birth_date_warns(built: Built) -> None:
    desk = built.api(Role.FRONT_DESK)
    path = registered(desk, birth_date=None)
    assert codes(ok(desk.post(path, CONSENT), 201)) == {"consent.age_unknown"}


@pytest.mark.parametrize(
    "named",
    [
        {"witness": "Luz\nFerrer"},
        {"typed_name": "Luz\u202eFerrer"},
        {"guardian_name": "Mina\tOkafor"},
        {"interpreter_name": "Luz\u200fFerrer", "interpreter_of_age": True},
        {"obtained_by": "Front\ndesk"},
    ],
)
def test_names_of_a_consent_are_names(desk: Api, client_id: str, named: dict[str, Any]) -> None:
    """Ruling 56: who stands for a client can be read as it was typed."""
    answer = desk.post(f"clients/{client_id}/touch-consent", {**CONSENT, **named})
    assert answer.status_code == 400
    assert [error["field"] for error in answer.json()["errors"]] == [next(iter(named))]


def test_an_age_that_nobody_verified_lets_no_minor_sign(
    built: Built, desk: Api, owner: Api
) -> None:
    """Ruling 56."""
    Facility.objects.filter(pk=built.east.pk).update(jurisdiction="US-AL")
    path = registered(desk, birth_date="2010-06-01")
    (row,) = ok(owner.post(f"facilities/{built.east.pk}/starter-consent-ages"), 201)
    assert desk.post(path, CONSENT).status_code == 400
    ok(owner.patch(f"consent-ages/{row['id']}", {"verified_on": "2026-03-02"}, match=1))
    ok(desk.post(path, CONSENT), 201)
