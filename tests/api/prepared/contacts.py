"""People beside a client and times that do not suit them, as the examples name them."""

from __future__ import annotations

from typing import Any, Final

from practice.core.terms import Role
from tests.api.prepared.practice import Before, Make, Prepared

BROTHER: Final = {"name": "Jon Lind", "relation": "brother", "phone": "+14155550188"}
TUESDAYS: Final = {"weekday": 2, "reason": "school"}


def _added(address: str, field: str, entry: dict[str, Any]) -> Make:
    def make(p: Prepared) -> str:
        made = p.post(f"clients/{p.id('client')}/{address}", entry, Role.FRONT_DESK)
        return str(made[field][-1]["id"])

    return make


THINGS: Final[dict[str, Make]] = {
    "emergency_contact": _added("emergency-contacts", "emergency_contacts", BROTHER),
    "unsuitable_time": _added("unsuitable-times", "unsuitable_times", TUESDAYS),
}

BEFORE: Final[dict[str, Before]] = {}
