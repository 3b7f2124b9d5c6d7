"""After an abdominal flap: walking and breathing, then what the surgeon gives leave for."""

from __future__ import annotations

from collections.abc import Iterator

from clients.domain.health import Operation, Site
from clients.domain.permissions import leave
from clients.domain.permissions.findings import Finding, Target, clinical, covers, operations
from clients.domain.permissions.inputs import Facts
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.stretches import StretchTag
from clients.domain.terms import OperationKind, OrderSubject
from practice.domain.terms import Mode, Region

SOURCE = "patient leaflets (UHN; OncoLink 2005; weeks vary), practice policy"


def after_flap(facts: Facts, target: Target, settings: PermissionSettings) -> Iterator[Finding]:
    """Everything but walking and breathing waits for leave; tilts and curls for their own."""
    flaps = [op for op in operations(facts) if op.kind is OperationKind.ABDOMINAL_FLAP]
    if not flaps or target.tagged(StretchTag.BREATHING, StretchTag.WALKING):
        return
    if target.tagged(StretchTag.CURL):
        yield from _curls(facts, settings, flaps)
    elif target.tagged(StretchTag.TILT):
        if not _leave(facts, settings, OrderSubject.PELVIC_TILTS):
            text = "Pelvic tilts after an abdominal flap need the surgeon's leave."
            yield _bar("flap.tilts", text)
    elif not _stretching(facts, target, settings):
        text = "After an abdominal flap walking and breathing only, until the surgeon's leave."
        yield _bar("flap.leave", text)


def _curls(facts: Facts, settings: PermissionSettings, flaps: list[Operation]) -> Iterator[Finding]:
    if not _leave(facts, settings, OrderSubject.CURLS):
        yield _bar("flap.curls_leave", "Curls after an abdominal flap need the surgeon's leave.")
    for flap in flaps:
        if flap.on is None or (facts.day - flap.on).days < settings.curls_weeks * 7:
            text = f"No curls before week {settings.curls_weeks} after an abdominal flap."
            yield _bar("flap.curls_weeks", text)
        if flap.stands_erect is not True:
            text = "No curls before it is recorded that she stands erect."
            yield _bar("flap.erect", text)


def _leave(facts: Facts, settings: PermissionSettings, subject: OrderSubject) -> bool:
    return any(
        site.region is Region.ABDOMEN
        for order in leave.leaves(facts, settings, subject)
        for site in order.sites
    )


def _stretching(facts: Facts, target: Target, settings: PermissionSettings) -> bool:
    """Leave for stretching that names the abdomen, or the region that is stretched."""
    sites: list[Site] = []
    for order in leave.leaves(facts, settings, OrderSubject.STRETCHING):
        sites.extend(order.sites)
    return covers(sites, target.main) or any(site.region is Region.ABDOMEN for site in sites)


def _bar(code: str, text: str) -> Finding:
    return Finding(Mode.NOT_TODAY, clinical(code, text, SOURCE))
