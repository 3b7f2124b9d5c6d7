"""Stating that a client pays for themself. Pure."""

from __future__ import annotations

from datetime import date

import msgspec

from billing.self_pay.domain.events import SelfPayStated
from billing.self_pay.domain.state import SelfPayState
from practice.core.decisions import Context, Decided
from practice.core.reasons import Rejected


class StateSelfPay(msgspec.Struct, frozen=True, kw_only=True):
    """From ``starts_on`` on the client pays for themself, or (false) does not any more."""

    starts_on: date
    reason: str
    self_paying: bool = True


def state_self_pay(state: SelfPayState, command: StateSelfPay, ctx: Context) -> Decided:
    """The statement. Rejected 409 where the same was stated from that day on."""
    known = state.by_day.get(command.starts_on)
    already = known.self_paying if known else state.on(command.starts_on)
    if already == command.self_paying:
        stands = "pays for themself" if already else "does not pay for themself"
        raise Rejected(
            "already_stated",
            f"On {command.starts_on} the client {stands} already. Nothing was changed.",
        )
    return [
        SelfPayStated(
            statement_id=ctx.new_id(),
            self_paying=command.self_paying,
            starts_on=command.starts_on,
            reason=command.reason,
        )
    ]
