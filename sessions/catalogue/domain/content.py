"""What a stretch of the catalogue is: everything a practitioner must know to do it well.

The catalogue's JSON is checked against these structs when it is loaded and edited.
"""

from __future__ import annotations

from typing import Any

import msgspec

from clients.health.domain.content import RangeLimit
from clients.health.domain.terms import OperationKind
from clients.permissions.domain.stretch import (
    ContactKind,
    ContactSite,
    PulledTissue,
    SideLogic,
    StretchSpec,
    StretchTag,
)
from practice.core.reasons import invalid
from practice.core.terms import Movement, Region, Technique
from sessions.catalogue.domain.terms import Dose, PostureKind


class ContactPoint(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One place where the client is touched, with what, and where exactly in words."""

    region: Region
    side: SideLogic = SideLogic.SAME
    kind: ContactKind = ContactKind.HAND
    where: str


class PullLine(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Skin and tissue that the stretch pulls across."""

    region: Region
    side: SideLogic = SideLogic.SAME


class RangeNeed(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Least range in degrees without which the position cannot be taken."""

    movement: Movement
    degrees: int


class StretchContent(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One stretch. ``doses`` hold one default for each technique that it is done with.

    ``two_armed``: both arms at once; ``sided`` False: one stretch for both sides.
    ``helps_after``: the operations after which it is of most use. ``instead``: codes of
    stretches to fall back to. ``how`` and ``cues`` speak to the practitioner, ``at_home``
    to the client, in the second person: the steps as they stand on a home exercise's sheet.
    """

    name: str
    region: Region
    position: str
    how: str
    movements: tuple[Movement, ...] = ()
    findings: tuple[PostureKind, ...] = ()
    contacts: tuple[ContactPoint, ...] = ()
    pulls: tuple[PullLine, ...] = ()
    needs: tuple[RangeNeed, ...] = ()
    palm: str = ""
    gaze: str = ""
    cues: tuple[str, ...]
    at_home: tuple[str, ...] = ()
    doses: tuple[Dose, ...]
    cautions: tuple[str, ...]
    cannot_get_into_position: str
    instead: tuple[str, ...] = ()
    helps_after: tuple[OperationKind, ...] = ()
    helps: str
    tags: tuple[StretchTag, ...] = ()
    two_armed: bool = False
    sided: bool = True

    @property
    def techniques(self) -> tuple[Technique, ...]:
        """The techniques it may be done with: those that have a default dose."""
        return tuple(dose.technique for dose in self.doses)


def catalogue_content(raw: Any) -> StretchContent:
    """The content of raw JSON. Raises Rejected 400 saying where it does not fit."""
    try:
        return msgspec.convert(raw, StretchContent)
    except msgspec.ValidationError as error:
        raise invalid("content", f"This is no stretch: {error}.") from None


def stretch_spec(content: StretchContent, *, code: str, version: int) -> StretchSpec:
    """The stretch as far as permissions depend on it."""
    return StretchSpec(
        code=code,
        region=content.region,
        techniques=content.techniques,
        contacts=tuple(
            ContactSite(region=c.region, side=c.side, kind=c.kind) for c in content.contacts
        ),
        pulls=tuple(PulledTissue(region=p.region, side=p.side) for p in content.pulls),
        movements=content.movements,
        needs=tuple(RangeLimit(movement=n.movement, degrees=n.degrees) for n in content.needs),
        tags=frozenset(content.tags),
        two_armed=content.two_armed,
        sided=content.sided,
        version=version,
    )
