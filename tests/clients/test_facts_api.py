"""Consent, preference, history and orders over HTTP, with their permissions' facts."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

import pytest

from clients.clinical.domain.facts import CLIENT_FACTS, ClientFacts, client_facts
from clients.consent.domain.terms import ConsentStatus
from clients.health.domain.terms import NeckHistory
from practice.audit.rebuild import compare
from practice.clock import clock
from practice.core.terms import Credential, Role
from practice.work import loading
from tests.builders import NOBODY_KNOWS, Api, Built, ok, refused, token_for
from tests.clients.bodies import CLEARANCE, CONSENT, HISTORY, REVIEWED


def facts(client_id: str) -> ClientFacts:
    return client_facts(loading.load_states(UUID(client_id), CLIENT_FACTS))


def test_a_consent_is_recorded_withdrawn_without_a_version_and_given_again(
    built: Built, desk: Api, client_id: str
) -> None:
    path = f"clients/{client_id}/touch-consent"
    assert ok(desk.get(path))["status"] == "none"
    given = ok(desk.post(path, CONSENT, match=1), 201)
    assert given["status"] == "granted"
    assert given["regions"] == CONSENT["regions"]
    assert given["in_force"] is True
    assert given["obtained_by"] == "Desk"
    with clock.at(clock.now() + timedelta(days=800)):
        later = Api(token_for(built.staff[Role.FRONT_DESK]))
        expired = ok(later.get(path))
        assert (expired["status"], expired["in_force"]) == ("granted", False)
    assert facts(client_id).consent.status is ConsentStatus.GRANTED
    refused(desk.post(path, CONSENT, match=1), 412, "stale_version")
    withdrawn = ok(desk.post(f"{path}/withdrawal", {"reason": "too much"}))
    assert (withdrawn["status"], withdrawn["reason"]) == ("withdrawn", "too much")
    assert facts(client_id).consent.status is ConsentStatus.WITHDRAWN
    again = ok(desk.post(f"{path}/withdrawal", {}))
    assert again["version"] == withdrawn["version"], "what stands already is not written twice"
    assert ok(desk.post(path, CONSENT), 201)["status"] == "granted"
    assert ok(desk.post(f"{path}/refusal", {}))["status"] == "declined"


def test_a_consent_entered_late_does_not_undo_a_later_withdrawal(desk: Api, client_id: str) -> None:
    path = f"clients/{client_id}/touch-consent"
    ok(desk.post(f"{path}/withdrawal", {}))
    before = (clock.now() - timedelta(hours=3)).isoformat()
    late = ok(desk.post(path, {**CONSENT, "occurred_at": before}), 201)
    assert late["status"] == "withdrawn"
    assert facts(client_id).consent.status is ConsentStatus.WITHDRAWN


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"regions": []}, "regions"),
        ({"regions": [{"region": "tail", "side": "both"}]}, "regions.0.region"),
        ({"regions": [{"region": "arm"}]}, "regions.0.side"),
        ({"techniques": []}, "techniques"),
        ({"until": "2020-01-01"}, "until"),
        ({"until": "2150-01-01"}, "until"),
        ({"form": "spoken_with_witness"}, "witness"),
        ({"form": "typed_signature"}, "typed_name"),
        ({"practitioner_ids": [str(NOBODY_KNOWS)]}, "practitioner_ids"),
        ({"occurred_at": "2190-01-01T00:00:00Z"}, "occurred_at"),
        ({"occurred_at": "2026-01-01T00:00:00"}, "occurred_at"),
    ],
)
def test_a_consent_that_cannot_be_is_400_with_the_field(
    desk: Api, client_id: str, change: dict[str, Any], field: str
) -> None:
    answer = desk.post(f"clients/{client_id}/touch-consent", {**CONSENT, **change})
    assert answer.status_code == 400, answer.content
    assert field in {error["field"] for error in answer.json()["errors"]}
    assert facts(client_id).consent.status is ConsentStatus.NONE


def test_a_consent_without_a_last_day_ends_as_the_practice_says(desk: Api, client_id: str) -> None:
    body = {key: value for key, value in CONSENT.items() if key != "until"}
    given = ok(desk.post(f"clients/{client_id}/touch-consent", body), 201)
    consent = facts(client_id).consent
    assert consent.given_on is not None
    assert consent.until == consent.given_on + timedelta(days=365)
    assert given["until"] == consent.until.isoformat()


def test_a_report_restricts_until_reviewed_and_then_the_desk_reads_no_more(
    desk: Api, therapist: Api, client_id: str
) -> None:
    path = f"clients/{client_id}/health-history"
    assert ok(desk.get(path))["status"] == "none"
    taken = ok(desk.post(path, {**HISTORY, "informant": "the client"}), 201)
    assert taken["status"] == "reported"
    assert "operations" not in str(taken)
    shown = ok(desk.get(path))
    assert shown["reports"][0]["content"]["operations"][0]["kind"] == "mastectomy"
    assert len(facts(client_id).reported) == 1
    refused(therapist.post(f"{path}/review", REVIEWED), 428, "version_required")
    refused(therapist.post(f"{path}/review", REVIEWED, match=1), 412, "stale_version")
    reviewed = ok(therapist.post(f"{path}/review", REVIEWED, match=taken["version"]))
    assert (reviewed["status"], reviewed["reports"]) == ("reviewed", [])
    known = facts(client_id)
    assert known.reported == ()
    assert known.reviewed is not None
    assert known.reviewed.neck is NeckHistory.NONE
    refused(desk.get(path), 403, "reviewed_history")
    more = ok(desk.post(path, {"conditions": [{"kind": "clot", "suspected": True}]}), 201)
    assert more["status"] == "reviewed"
    waiting = facts(client_id).reported
    assert waiting[0].conditions[0].since is not None, "a clot without a date counts from today"
    assert ok(therapist.get(path))["reports"][0]["report_id"] == more["report_id"]
    refused(desk.get(path), 403, "reviewed_history")


@pytest.mark.parametrize(
    ("content", "field"),
    [
        ({"operations": [{"kind": "mastectomy", "side": "left", "on": "2190-01-01"}]},
         "operations.0.on"),
        ({"operations": [{"kind": "mastectomy", "side": "left", "on": "1960-01-01"}]},
         "operations.0.on"),
        ({"operations": [{"kind": "haircut", "side": "left"}]}, "operations.0.kind"),
        ({"radiations": [{"sites": [{"region": "chest", "side": "left"}],
                          "from_date": "2026-02-01", "until_date": "2026-01-01"}]},
         "radiations.0.until_date"),
        ({"radiations": [{"sites": []}]}, "radiations.0.sites"),
        ({"conditions": [{"kind": "clot", "since": "2190-01-01"}]}, "conditions.0.since"),
        ({"usual_pain": 11}, "usual_pain"),
        ({"neck": "unknown"}, "neck"),
    ],
)  # fmt: skip
def test_a_history_that_cannot_be_is_400_with_the_field(
    desk: Api, client_id: str, content: dict[str, Any], field: str
) -> None:
    answer = desk.post(f"clients/{client_id}/health-history", content)
    assert answer.status_code == 400, answer.content
    assert field in {error["field"] for error in answer.json()["errors"]}


def test_a_history_does_not_claim_what_was_not_asked(
    desk: Api, therapist: Api, client_id: str
) -> None:
    path = f"clients/{client_id}/health-history"
    ok(desk.post(path, HISTORY), 201)
    ok(desk.post(path, {**HISTORY, "pathology_under_treatment": True}), 201)
    shown = [one["content"] for one in ok(desk.get(path))["reports"]]
    assert sorted(str(one.get("pathology_under_treatment")) for one in shown) == ["None", "True"]
    version = ok(therapist.get(path))["version"]
    found = ok(therapist.post(f"{path}/review", REVIEWED, match=version))
    assert found["reviewed"].get("pathology_under_treatment") is None


def test_an_answer_about_the_neck_is_not_lost_by_leaving_it_out(
    therapist: Api, client_id: str
) -> None:
    path = f"clients/{client_id}/health-history/review"
    ok(therapist.post(path, REVIEWED, match=1))
    forgotten = {key: value for key, value in REVIEWED.items() if key != "neck"}
    refused(therapist.post(path, forgotten, match=2), 409, "neck_was_asked")


def test_a_preference_is_a_gender_or_named_people_and_exceptions_are_the_clients_own(
    built: Built, desk: Api, client_id: str
) -> None:
    path = f"clients/{client_id}/provider-preference"
    marco = str(built.practitioners[Credential.MASSAGE_THERAPIST].pk)
    agreed = {"practitioner_id": marco, "agreed_how": "on the phone", "until": "2034-01-01"}
    refused(desk.post(f"{path}/exceptions", agreed), 409, "no_preference")
    both = {"gender": "woman", "practitioner_ids": [marco]}
    refused(desk.put(path, both), 400, "invalid")
    stated = ok(desk.put(path, {"gender": "woman", "scope": "hands_on_only"}))
    assert (stated["gender"], stated["scope"]) == ("woman", "hands_on_only")
    repeated = ok(desk.put(path, {"gender": "woman", "scope": "hands_on_only"}))
    assert repeated["version"] == stated["version"]
    refused(desk.post(f"{path}/exceptions", {**agreed, "on": "2034-01-01"}), 400, "invalid")
    made = ok(desk.post(f"{path}/exceptions", agreed), 201)
    assert [one["practitioner_id"] for one in made["exceptions"]] == [marco]
    [exception] = facts(client_id).exceptions
    assert str(exception.exception_id) == made["exceptions"][0]["exception_id"]
    ok(desk.put(path, {"gender": "man"}))
    assert facts(client_id).exceptions == (), "a new preference ends earlier exceptions"
    assert ok(desk.get(path))["exceptions"] == []
    assert ok(desk.put(path, {}))["scope"] == ""
    assert facts(client_id).preference is None


def test_an_order_is_filed_by_a_practitioner_and_the_desk_sees_its_kind_only(
    desk: Api, therapist: Api, client_id: str
) -> None:
    path = f"clients/{client_id}/orders"
    refused(desk.post(path, CLEARANCE), 403, "forbidden")
    [filed] = ok(therapist.post(path, CLEARANCE), 201)["results"]
    assert filed["prescriber_name"] == CLEARANCE["prescriber_name"]
    assert filed["expires_on"] == "2026-05-30", "180 days, as the practice's setting says"
    [paper] = ok(desk.get(path))["results"]
    assert set(paper) == {"id", "kind", "given_on", "expires_on", "lifted_on"}
    lifting = f"{path}/{filed['id']}/lifting"
    refused(therapist.post(lifting, {}), 400, "invalid")
    [lifted] = ok(therapist.post(lifting, {"lifted_by": "Dr. Amara Whitfield"}))["results"]
    assert lifted["lifted_on"] is not None
    assert facts(client_id).orders[0].lifted_on is not None
    unknown = f"{path}/{NOBODY_KNOWS}/lifting"
    refused(therapist.post(unknown, {"lifted_by": "nobody"}), 404, "not_found")


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"given_on": "2190-01-01"}, "given_on"),
        ({"given_on": "1960-01-01"}, "given_on"),
        ({"expires_on": "2025-11-30"}, "expires_on"),
        ({"from_date": "2025-11-30"}, "from_date"),
        ({"subjects": []}, "subjects"),
        ({"sites": []}, "sites"),
        ({"limits": [{"movement": "shoulder_flexion", "degrees": 400}]}, "limits.0.degrees"),
        ({"kind": "wish"}, "kind"),
    ],
)
def test_an_order_that_cannot_be_is_400_with_the_field(
    therapist: Api, client_id: str, change: dict[str, Any], field: str
) -> None:
    answer = therapist.post(f"clients/{client_id}/orders", {**CLEARANCE, **change})
    assert answer.status_code == 400, answer.content
    assert field in {error["field"] for error in answer.json()["errors"]}


def test_the_history_tells_who_when_and_what_and_the_record_as_known_before(
    desk: Api, therapist: Api, owner: Api, client_id: str
) -> None:
    ok(desk.post(f"clients/{client_id}/touch-consent", CONSENT), 201)
    between = clock.now().isoformat()
    with clock.at(clock.now() + timedelta(hours=1)):
        ok(desk.post(f"clients/{client_id}/touch-consent/withdrawal", {}))
        ok(therapist.post(f"clients/{client_id}/orders", CLEARANCE), 201)
    told = ok(owner.get(f"clients/{client_id}/history"))["results"]
    assert [one["type"] for one in told] == [
        "client.registered",
        "consent.recorded",
        "consent.withdrawn",
        "order.filed",
    ]
    assert told[1]["recorded_by"]["name"] == "Desk"
    assert "left arm" in told[1]["text"]
    assert told[3]["recorded_late"] is True
    assert told[3]["occurred_at"] < told[0]["occurred_at"]
    then = ok(owner.get(f"clients/{client_id}/record", {"known_at": between}))
    assert (then["consent"]["status"], then["orders"]) == ("granted", [])
    now = ok(owner.get(f"clients/{client_id}/record"))
    assert (now["consent"]["status"], len(now["orders"])) == ("withdrawn", 1)
    early = ok(
        owner.get(f"clients/{client_id}/history", {"occurred_until": "2025-12-02T00:00:00Z"})
    )
    assert [one["type"] for one in early["results"]] == ["order.filed"]
    refused(owner.get(f"clients/{client_id}/record", {"known_at": "yesterday"}), 400, "invalid")
    refused(desk.get(f"clients/{client_id}/history"), 403, "forbidden")


def test_read_tables_are_what_their_events_make_of_them(
    built: Built, desk: Api, therapist: Api, client_id: str
) -> None:
    ok(desk.patch(f"clients/{client_id}", {"phone": "+1 212 555 0199"}))
    ok(desk.post(f"clients/{client_id}/touch-consent", CONSENT), 201)
    ok(desk.put(f"clients/{client_id}/provider-preference", {"gender": "woman"}))
    paula = str(built.staff[Role.PRACTITIONER].practitioner_id)
    agreed = {"practitioner_id": paula, "agreed_how": "in person", "on": "2034-01-01"}
    ok(desk.post(f"clients/{client_id}/provider-preference/exceptions", agreed), 201)
    taken = ok(desk.post(f"clients/{client_id}/health-history", HISTORY), 201)
    ok(
        therapist.post(
            f"clients/{client_id}/health-history/review", REVIEWED, match=taken["version"]
        )
    )
    [filed] = ok(therapist.post(f"clients/{client_id}/orders", CLEARANCE), 201)["results"]
    lifting = f"clients/{client_id}/orders/{filed['id']}/lifting"
    ok(therapist.post(lifting, {"lifted_by": "Dr. Amara Whitfield"}))
    compared = compare()
    assert compared.differences == []
    assert compared.rows >= 6
