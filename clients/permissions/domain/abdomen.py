"""After an abdominal flap: walking and breathing, then what the surgeon gives leave for."""

from __future__ import annotations

from collections.abc import Iterator

from clients.clinical.domain.operations import known_operations
from clients.clinical.domain.orders_in_force import clearances_in_force
from clients.health.domain.content import BodySite, Operation
from clients.health.domain.sites import covers
from clients.health.domain.terms import OperationKind
from clients.orders.domain.terms import OrderSubject
from clients.permissions.domain.findings import (
    PermissionFinding,
    StretchTarget,
    clinical_reason,
    on_day,
)
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from clients.permissions.domain.stretch import StretchTag
from practice.core.terms import Mode, Region

SOURCE = "patient leaflets (UHN; OncoLink 2005; weeks vary), practice policy"


def after_flap(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Everything but walking and breathing waits for leave; tilts and curls for their own."""
    flaps = [
        op
        for op in known_operations(facts.client, facts.day)
        if op.kind is OperationKind.ABDOMINAL_FLAP
    ]
    if not flaps or target.tagged(StretchTag.BREATHING, StretchTag.WALKING):
        return
    if target.tagged(StretchTag.CURL):
        yield from _curls(facts, settings, flaps)
    elif target.tagged(StretchTag.TILT):
        if not _cleared(facts, settings, OrderSubject.PELVIC_TILTS):
            text = "Pelvic tilts after an abdominal flap need the surgeon's leave."
            yield _bar("flap.tilts", text)
    elif not _stretching(facts, target, settings):
        text = "After an abdominal flap walking and breathing only, until the surgeon's leave."
        yield _bar("flap.no_clearance", text)


def _curls(
    facts: PermissionFacts, settings: PermissionSettings, flaps: list[Operation]
) -> Iterator[PermissionFinding]:
    if not _cleared(facts, settings, OrderSubject.CURLS):
        yield _bar(
            "flap.curls_no_clearance", "Curls after an abdominal flap need the surgeon's leave."
        )
    for flap in flaps:
        if flap.on is None or (facts.day - flap.on).days < settings.curls_weeks * 7:
            text = f"No curls before week {settings.curls_weeks} after an abdominal flap."
            yield _bar("flap.curls_weeks", text)
        if flap.stands_erect is not True:
            text = "No curls before it is recorded that the client stands erect."
            yield _bar("flap.erect", text)


def _cleared(facts: PermissionFacts, settings: PermissionSettings, subject: OrderSubject) -> bool:
    return any(
        site.region is Region.ABDOMEN
        for order in clearances_in_force(on_day(facts, settings), subject)
        for site in order.sites
    )


def _stretching(
    facts: PermissionFacts, target: StretchTarget, settings: PermissionSettings
) -> bool:
    """Leave for stretching that names the abdomen, or the region that is stretched."""
    sites: list[BodySite] = []
    for order in clearances_in_force(on_day(facts, settings), OrderSubject.STRETCHING):
        sites.extend(order.sites)
    return covers(sites, target.main) or any(site.region is Region.ABDOMEN for site in sites)


def _bar(code: str, text: str) -> PermissionFinding:
    return PermissionFinding(Mode.NOT_TODAY, clinical_reason(code, text, SOURCE))
