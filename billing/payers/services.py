"""Payers, their maps of parts to service codes, and the practice's service codes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from billing.payers.dated_rules import (
    RULE_FIELDS,
    checked_rules,
    dated_rules,
    mapped_services,
)
from billing.payers.models import Payer, ServiceCode
from billing.payers.selectors import practice_today
from practice.core.reasons import invalid
from practice.policy import change_log as history
from practice.work.unit_of_work import UnitOfWork


def payer_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> Payer:
    """A new payer; its rules hold for all days. Raises Rejected 409 where one has that name."""
    rules = checked_rules(command)
    made = {name: value for name, value in command.items() if name not in RULE_FIELDS}
    made |= {name: value for name, value in rules.items() if name != "services"}
    if "services" in rules:
        made["services"] = mapped_services(rules["services"])
    return history.create_row(uow, Payer(), made, "payer")


def payer_change(
    uow: UnitOfWork, *, payer_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Payer:
    """Change a payer. Changed rules hold from ``in_force_from`` on (today, if not said): a day is
    calculated by the rules of that day, and days calculated before stand as they are."""
    payer = history.lock_row(Payer, payer_id, "payer", if_match=if_match)
    rules, first = checked_rules(command), command.get("in_force_from")
    if first is not None and not rules:
        raise invalid("in_force_from", "Give the rules that hold from that day on.")
    undated = {*RULE_FIELDS, "in_force_from"}
    made = {name: value for name, value in command.items() if name not in undated}
    if rules:
        made |= dated_rules(payer, rules, first or practice_today())
    return history.update_row(uow, payer, made, "payer")


def service_code_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> ServiceCode:
    """A new service code with the practice's own description."""
    return history.create_row(uow, ServiceCode(), command, "service code")


def service_code_change(
    uow: UnitOfWork, *, code_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> ServiceCode:
    """Change a code's description, or take it out of use. The code itself stays: visits and
    authorizations name it."""
    row = history.lock_row(ServiceCode, code_id, "service code", if_match=if_match)
    for name in ("code", "timed"):
        if name in command and command[name] != getattr(row, name):
            raise invalid(name, f"The {name} of a service code stays; add another code.")
    return history.update_row(uow, row, command, "service code")
