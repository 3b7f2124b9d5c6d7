"""What every rule of the permissions is given and gives back, and how sites overlap."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache

from clients.clinical.domain.orders_in_force import ClientOnDay
from clients.health.domain.content import BodySite, RangeLimit
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from clients.permissions.domain.stretch import SideLogic, StretchSpec, StretchTag
from practice.core.reasons import Audience, Reason
from practice.core.terms import Mode, Movement, Region, Side, Technique

COMMON_PRACTICE = "common practice"
PRACTICE_POLICY = "practice policy"
ARM_TAGS = frozenset(
    {
        StretchTag.CHEST,
        StretchTag.V,
        StretchTag.TRICEPS,
        StretchTag.CROSS_BODY,
        StretchTag.PATTERN,
        StretchTag.ABDUCTION_PATTERN,
    }
)
PECTORAL_TAGS = (StretchTag.CHEST, StretchTag.V, StretchTag.TRICEPS)
PECTORAL_MOVEMENTS = frozenset(
    {
        Movement.SHOULDER_FLEXION,
        Movement.SHOULDER_INTERNAL_ROTATION,
        Movement.SHOULDER_EXTERNAL_ROTATION,
    }
)
PATTERNS = frozenset({StretchTag.PATTERN})
ARM_RAISES = (Movement.SHOULDER_ABDUCTION, Movement.SHOULDER_FLEXION)


@dataclass(frozen=True, slots=True)
class PermissionFinding:
    """What one rule says: the widest mode it leaves, why, and within which range.

    ``pending``: only because a question of the day is not answered yet. ``refuses``:
    it may not even be booked. ``caution``: it narrows nothing, but is to be heeded.
    """

    mode: Mode
    reason: Reason
    limits: tuple[RangeLimit, ...] = ()
    pending: bool = False
    refuses: bool = False
    caution: bool = False


@dataclass(frozen=True)
class StretchTarget:
    """One stretch by one technique on one side, with where it touches and pulls."""

    spec: StretchSpec
    technique: Technique
    side: Side

    @cached_property
    def contacts(self) -> tuple[BodySite, ...]:
        """Where the practitioner touches, supporting contacts included."""
        return tuple(
            BodySite(region=c.region, side=resolve_side(c.side, self.side))
            for c in self.spec.contacts
        )

    @cached_property
    def main(self) -> BodySite:
        """The region that is stretched."""
        return BodySite(region=self.spec.region, side=self.side)

    @cached_property
    def pulls(self) -> tuple[BodySite, ...]:
        """Skin and tissue that is pulled across: what the stretch names and its own region."""
        named = (
            BodySite(region=p.region, side=resolve_side(p.side, self.side)) for p in self.spec.pulls
        )
        return (self.main, *named)

    @cached_property
    def worked(self) -> tuple[BodySite, ...]:
        """Everything touched or pulled."""
        return (*self.contacts, *self.pulls)

    @cached_property
    def raises_arm(self) -> bool:
        """Whether the arm goes up in it, so that a greatest height concerns it."""
        spec = self.spec
        return bool(
            spec.tags & ARM_TAGS
            or spec.region in (Region.SHOULDER, Region.ARM)
            or any(movement in ARM_RAISES for movement in spec.movements)
        )

    @cached_property
    def lifts_arm(self) -> bool:
        """Whether the arm itself is raised or held up in it; not reaching back, not turning in.

        A pattern that names no movement counts as a raise.
        """
        spec = self.spec
        moves = {*spec.movements, *(need.movement for need in spec.needs)}
        raised = not moves.isdisjoint(ARM_RAISES) or bool(spec.tags & (ARM_TAGS - PATTERNS))
        return raised or (StretchTag.PATTERN in spec.tags and not moves)

    @cached_property
    def neck(self) -> bool:
        """Whether it stretches the neck."""
        return StretchTag.NECK in self.spec.tags or self.spec.region is Region.HEAD_AND_NECK

    def tagged(self, *tags: StretchTag) -> bool:
        """Whether it has any of these tags."""
        return not self.spec.tags.isdisjoint(tags)

    @property
    def resists_pectoral(self) -> bool:
        """Whether the client pushes with the pectoral against the hand: in contract-relax of
        chest, V and triceps, of flexion, and of rotation (into the inward one it is pushed)."""
        pushed = not PECTORAL_MOVEMENTS.isdisjoint(self.spec.movements)
        return self.technique is Technique.CONTRACT_RELAX and (
            pushed or self.tagged(*PECTORAL_TAGS)
        )

    @property
    def assisted_only(self) -> bool:
        """Contract-relax and passive: the client cannot do them alone."""
        return self.technique is not Technique.ACTIVE_ISOLATED


@lru_cache(maxsize=4096)
def targets_by_side(spec: StretchSpec) -> tuple[tuple[StretchTarget, ...], ...]:
    """A stretch on each of its sides, there by each of its techniques.

    Kept: where it touches and pulls is worked out once, not in each session that is judged.
    """
    techniques = sorted(set(spec.techniques))
    return tuple(tuple(StretchTarget(spec, one, side) for one in techniques) for side in spec.sides)


SessionRule = Callable[[PermissionFacts, PermissionSettings], Iterable[PermissionFinding]]
TargetRule = Callable[
    [PermissionFacts, StretchTarget, PermissionSettings], Iterable[PermissionFinding]
]


def resolve_side(logic: SideLogic, side: Side) -> Side:
    """The side of a contact when a side is stretched."""
    if logic is SideLogic.BOTH or side is Side.BOTH:
        return Side.BOTH
    if logic is SideLogic.SAME:
        return side
    return Side.RIGHT if side is Side.LEFT else Side.LEFT


def clinical_reason(code: str, text: str, source: str) -> Reason:
    """A health reason: the desk and billing see that there is one, not which."""
    return Reason(code=code, text=text, source=source, audience=Audience.CLINICAL)


def sorted_reasons(reasons: Iterable[Reason]) -> tuple[Reason, ...]:
    """Each reason once, in an order that does not depend on that of the facts."""
    unique = {(r.code, r.text, r.source): r for r in reasons}
    return tuple(unique[key] for key in sorted(unique))


def on_day(facts: PermissionFacts, settings: PermissionSettings) -> ClientOnDay:
    """What is known of the client on the day that is judged."""
    return ClientOnDay(facts.client, facts.day, settings.operation_regions)
