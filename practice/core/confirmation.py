"""What is possible but looks like a slip: kept only once it is confirmed. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

import msgspec

from practice.core.reasons import Rejected


class ConfirmedWarning(msgspec.Struct, frozen=True, kw_only=True):
    """What looked like a slip and stands: the warning as it was shown, and whose account
    confirmed it."""

    code: str
    text: str
    by: UUID


class Doubt(msgspec.Struct, frozen=True, kw_only=True):
    """A warning that ``confirm`` (a field of the request) set to true answers."""

    code: str
    field: str
    text: str
    confirm: str

    def refusal(self) -> Rejected:
        """The 400 that asks for the confirmation."""
        return Rejected(
            self.code,
            f"{self.text} If it stands, send it with {self.confirm} true.",
            status=400,
            fields={self.field: f"confirm with {self.confirm}"},
            extra={"confirm": self.confirm},
        )


def settled(doubts: Iterable[Doubt], by: UUID, *, confirmed: bool) -> tuple[ConfirmedWarning, ...]:
    """The doubts as confirmed warnings, to be kept with the event. Raises Rejected 400 for the
    first where nobody confirmed it."""
    found = tuple(doubts)
    if found and not confirmed:
        raise found[0].refusal()
    return tuple(ConfirmedWarning(code=one.code, text=one.text, by=by) for one in found)


def confirmed_text(warnings: Iterable[ConfirmedWarning]) -> str:
    """What was confirmed, as sentences that follow another: the history says it too."""
    return "".join(f" Confirmed by whoever recorded it: {one.text}" for one in warnings)
