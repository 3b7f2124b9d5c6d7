"""What of self-payment survives an erasure: the days, without the reason. Pure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any
from uuid import UUID

import msgspec

from billing.self_pay.domain.state import SELF_PAY
from practice.audit.domain.events import RecordClosed
from practice.core.decisions import RetainedFacts, States

KEPT_AS = "self_pay"


class RetainedSelfPay(msgspec.Struct, frozen=True, kw_only=True):
    """From which day on the client paid for themself, or did not any more."""

    id: UUID
    starts_on: date
    self_paying: bool


def retained_self_pay(closed: RecordClosed) -> Iterator[RetainedSelfPay]:
    """The statements that a closing event holds."""
    for plain in closed.retained_facts.get(KEPT_AS, []):
        yield msgspec.convert(plain, RetainedSelfPay)


def _keep(states: States) -> list[dict[str, Any]]:
    plain: list[dict[str, Any]] = msgspec.to_builtins(
        [
            RetainedSelfPay(id=one.id, starts_on=starts_on, self_paying=one.self_paying)
            for starts_on, one in sorted(states[SELF_PAY].by_day.items())
        ]
    )
    return plain


RETAINED_SELF_PAY = RetainedFacts(app=KEPT_AS, slices=(SELF_PAY,), retain=_keep)
