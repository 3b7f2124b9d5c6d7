"""What a stretch is, as far as a rule speaks about it: where it touches, pulls and moves.

The catalogue makes these and permissions judge them; neither needs the other for it.
"""

from __future__ import annotations

from enum import StrEnum

import msgspec

from clients.health.domain.content import RangeLimit
from practice.core.terms import Movement, Region, Side, Technique


class ContactKind(StrEnum):
    """With what the practitioner touches the client."""

    HAND = "hand"
    LEG = "leg"
    SUPPORTING = "supporting"


class SideLogic(StrEnum):
    """On which side a contact or a pull lies, seen from the side that is stretched."""

    SAME = "same"
    OPPOSITE = "opposite"
    BOTH = "both"


class StretchTag(StrEnum):
    """What kind of stretch it is, as far as a rule speaks about it.

    ``PATTERN``: an arm pattern (abduction, flexion, extension, rotation).
    ``WEIGHT_OF_HAND``: the weight of a hand lies on the head.
    ``LOADING``: external load or resisted work beyond the technique itself.
    ``TRUNK_BEND`` and ``TRUNK_TWIST``: loaded or end-range bending or twisting.
    """

    CHEST = "chest"
    NECK = "neck"
    PATTERN = "pattern"
    ABDUCTION_PATTERN = "abduction_pattern"
    V = "v"
    TRICEPS = "triceps"
    CROSS_BODY = "cross_body"
    TILT = "tilt"
    KNEE_ROLL = "knee_roll"
    CURL = "curl"
    BREATHING = "breathing"
    WALKING = "walking"
    PREPARATION = "preparation"
    WEIGHT_OF_HAND = "weight_of_hand"
    TRUNK_BEND = "trunk_bend"
    TRUNK_TWIST = "trunk_twist"
    LOADING = "loading"


class ContactSite(msgspec.Struct, frozen=True, kw_only=True):
    """Where a stretch touches the client, on which side, and with what."""

    region: Region
    side: SideLogic = SideLogic.SAME
    kind: ContactKind = ContactKind.HAND


class PulledTissue(msgspec.Struct, frozen=True, kw_only=True):
    """Skin and tissue that a stretch pulls across."""

    region: Region
    side: SideLogic = SideLogic.SAME


class StretchSpec(msgspec.Struct, frozen=True, kw_only=True):
    """A stretch of the catalogue, as far as permissions depend on it.

    ``two_armed``: both arms at once; ``sided`` False: one stretch for both sides
    (chin to chest, tilts). ``needs``: the least range without which its position
    cannot be taken. ``version`` is that of the catalogue entry.
    """

    code: str
    region: Region
    techniques: tuple[Technique, ...]
    contacts: tuple[ContactSite, ...] = ()
    pulls: tuple[PulledTissue, ...] = ()
    movements: tuple[Movement, ...] = ()
    needs: tuple[RangeLimit, ...] = ()
    tags: frozenset[StretchTag] = frozenset()
    two_armed: bool = False
    sided: bool = True
    version: int = 1

    @property
    def sides(self) -> tuple[Side, ...]:
        """The sides that a verdict is given for."""
        if self.two_armed or not self.sided:
            return (Side.BOTH,)
        return (Side.LEFT, Side.RIGHT)
