"""Examples of payers, authorizations, visits and requests for the record."""

from __future__ import annotations

from typing import Final

from practice.core.terms import Role
from tests.api.prepared.practice import Before, Make, Prepared, of_list
from tests.api.prepared.sessions import signed
from tests.billing.practice_rows import payer
from tests.builders import ok


def _authorization(p: Prepared) -> str:
    body = {
        "payer_id": p.id("payer"),
        "number": "PA-1",
        "member_id": "LHP-1",
        "starts_on": "2026-03-01",
        "ends_on": "2026-05-31",
        "visits": 10,
        "units": 40,
    }
    return str(p.post(f"clients/{p.id('client')}/authorizations", body)["id"])


def _ended(p: Prepared) -> None:
    path = f"authorizations/{p.id('authorization')}/ending"
    p.post(path, {"ends_on": "2026-04-30", "reason": "change"})


def _visit(p: Prepared) -> str:
    p.id("authorization")
    signed(p)
    return str(ok(p.api(Role.BILLING).get("visits"))["results"][0]["id"])


def _corrections_version(p: Prepared) -> str:
    p.id("visit")
    p.post("service-codes", {"code": "NEW15", "description": "stretching", "timed": True})
    mapped = {"part": "stretching", "credential": "physical_therapist", "code": "NEW15"}
    change = {"services": [mapped], "in_force_from": "2026-03-01"}
    ok(p.api(Role.BILLING).change(f"payers/{p.id('payer')}", change))
    query = {"from": "2026-03-01", "to": "2026-03-31"}
    shown = p.api(Role.BILLING).get(f"payers/{p.id('payer')}/corrections", query)
    return str(ok(shown)["version"])


def _coverable_version(p: Prepared) -> str:
    """Of the visits that would be covered now: signed before the authorization was recorded."""
    signed(p)
    p.id("authorization")
    shown = p.api(Role.BILLING).get("coverable-visits", {"client_id": p.id("client")})
    return str(ok(shown)["version"])


def _as_owner(p: Prepared) -> None:
    p.role = Role.OWNER


THINGS: Final[dict[str, Make]] = {
    "payer": lambda _p: str(payer().pk),
    "code": lambda p: (p.id("payer"), of_list("service-codes")(p))[1],
    "authorization": _authorization,
    "visit": _visit,
    "corrections": _corrections_version,
    "coverable visits": _coverable_version,
    "record_request": lambda p: str(p.post(f"clients/{p.id('client')}/record-requests", {})["id"]),
}

BEFORE: Final[dict[str, Before]] = {
    "payer-detail-PATCH": lambda p: p.id("code"),
    "payer-list-POST": lambda p: p.post(
        "service-codes", {"code": "STR15", "description": "stretching", "timed": True}
    ),
    "authorization-reopening-POST": _ended,
    "visit-summary-list-POST": lambda p: p.id("visit"),
    "record-request-list-POST": _as_owner,
}
