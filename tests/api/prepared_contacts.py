"""People beside a client and times that do not suit them, as the examples name them."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Final

from practice.core.terms import Role

if TYPE_CHECKING:
    from tests.api.prepared import Prepared

BROTHER: Final = {"name": "Jon Lind", "relation": "brother", "phone": "+14155550188"}
TUESDAYS: Final = {"weekday": 2, "reason": "school"}


def _added(address: str, field: str, entry: dict[str, Any]) -> Callable[[Prepared], str]:
    def make(p: Prepared) -> str:
        made = p.post(f"clients/{p.id('client')}/{address}", entry, Role.FRONT_DESK)
        return str(made[field][-1]["id"])

    return make


CONTACTS: Final[dict[str, Callable[[Prepared], str]]] = {
    "emergency_contact": _added("emergency-contacts", "emergency_contacts", BROTHER),
    "unsuitable_time": _added("unsuitable-times", "unsuitable_times", TUESDAYS),
}
