"""Examples of clients: orders, papers, touch consent, the preference, erasure."""

from __future__ import annotations

from typing import Any, Final

from practice.core.terms import Role
from tests.api.prepared.practice import Before, Make, Prepared
from tests.builders import account, ok
from tests.sessions.people import open_client, registered


def _order(p: Prepared, kind: str = "restriction", day: str = "2026-02-01", **more: Any) -> str:
    body = {
        "kind": kind,
        "prescriber": "surgeon",
        "prescriber_name": "Amara Whitfield",
        "given_on": day,
        "sites": [{"region": "arm", "side": "left"}],
        "subjects": ["stretching"],
        **more,
    }
    path = f"clients/{p.id('client')}/orders"
    before = {one["id"] for one in ok(p.api(Role.OWNER).get(path))["results"]}
    (made,) = {one["id"] for one in p.post(path, body)["results"]} - before
    return str(made)


def _paper(p: Prepared) -> str:
    body = {"kind": "clearance", "asked_of": {"name": "Amara Whitfield", "role": "surgeon"}}
    return str(p.post(f"clients/{p.id('client')}/papers", body, Role.FRONT_DESK)["id"])


def _paper_step(p: Prepared) -> str:
    path = f"clients/{p.id('client')}/papers/{p.id('paper')}/sending"
    return str(p.post(path, {"channel": "fax"}, Role.FRONT_DESK)["steps"][-1]["id"])


def _answered_paper(p: Prepared) -> None:
    path = f"clients/{p.id('client')}/papers/{p.id('paper')}/answer"
    p.post(path, {"outcome": "given"}, Role.FRONT_DESK)


def _consent(p: Prepared) -> str:
    """A consent that is suspended: a withdrawal said before it was entered after it."""
    p.made["client"] = client = str(registered(p.built))
    path = f"clients/{client}/touch-consent"
    given = {
        "regions": [{"region": "arm", "side": "left"}],
        "techniques": ["active_isolated"],
        "form": "paper",
        "language": "en",
    }
    p.post(path, {**given, "signed_on": "2026-03-02"})
    p.post(path, {**given, "signed_on": "2026-03-09", "occurred_at": "2026-03-09T11:00:00-04:00"})
    p.post(f"{path}/withdrawal", {"occurred_at": "2026-03-09T10:00:00-04:00"})
    shown = ok(p.api(Role.OWNER).get(path))
    return str(next(one["consent_id"] for one in shown["grants"] if one["can_be_confirmed"]))


def _other_preference(p: Prepared) -> None:
    path = f"clients/{p.id('client')}/provider-preference"
    ok(p.api(Role.OWNER).put(path, {"gender": "man"}))


def _record_version(p: Prepared) -> None:
    p.match = p.version(f"clients/{p.id('client')}")


def _erasure_ordered(p: Prepared) -> None:
    account("owner.two", Role.OWNER)
    body = {"reason": "asked for", "before_retention": True}
    path = f"clients/{p.id('client')}/erasure"
    p.post(path, body)


def _second_owner(p: Prepared) -> None:
    _erasure_ordered(p)
    p.built.staff[Role.OWNER] = type(p.built.staff[Role.OWNER]).objects.get(username="owner.two")
    p.signed_in.clear()
    p.role = Role.OWNER


THINGS: Final[dict[str, Make]] = {
    "client": lambda p: str(open_client(p.built)),
    "order": _order,
    "clearance": lambda p: _order(p, "clearance", "2026-03-02"),
    "consent": _consent,
    "paper": _paper,
    "paper step": _paper_step,
}

BEFORE: Final[dict[str, Before]] = {
    "erasure-DELETE": _erasure_ordered,
    "erasure-approval-POST": _second_owner,
    "history-review-POST": _record_version,
    "consent-confirmation-POST": lambda p: p.id("consent"),
    "paper-order-POST": _answered_paper,
    "preference-exception-list-POST": _other_preference,
}
