"""Payers, their maps of parts to service codes, and the practice's service codes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from billing.payers.models import Payer, ServiceCode
from practice.core.reasons import invalid
from practice.policy import change_log as history
from practice.work.unit_of_work import UnitOfWork


def payer_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> Payer:
    """A new payer. Raises Rejected 409 where one has that name."""
    return history.create_row(uow, Payer(), _checked(command), "payer")


def payer_change(
    uow: UnitOfWork, *, payer_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Payer:
    """Change a payer. Days calculated before stand as they are; signatures from now on follow."""
    payer = history.lock_row(Payer, payer_id, "payer", if_match=if_match)
    return history.update_row(uow, payer, _checked(command), "payer")


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


def _checked(values: Mapping[str, Any]) -> dict[str, Any]:
    """The map's codes by id; Rejected 400 for unknown codes and for a part named twice."""
    made = dict(values)
    if "services" not in made:
        return made
    ids = dict(ServiceCode.objects.filter(is_active=True).values_list("code", "pk"))
    seen, services = set(), []
    for item in made["services"]:
        if item["code"] not in ids:
            raise invalid("services", f"No such service code in use: {item['code']}.")
        if (item["part"], item["credential"]) in seen:
            raise invalid(
                "services", f"Name {item['part']} by {item['credential']} once; one code for both."
            )
        seen.add((item["part"], item["credential"]))
        services.append(
            {
                "part": str(item["part"]),
                "credential": str(item["credential"]),
                "service_code_id": ids[item["code"]],
            }
        )
    return {**made, "services": services}
