"""What every rule of the permissions is given and gives back, and how sites overlap."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from clients.domain.health import HistoryContent, Limit, Operation, Site
from clients.domain.permissions.inputs import ClientFacts, Facts
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.stretches import SideLogic, StretchSpec, StretchTag
from practice.domain.reasons import Audience, Reason
from practice.domain.terms import Mode, Movement, Region, Side, Technique

COMMON_PRACTICE = "common practice"
PRACTICE_POLICY = "practice policy"
ARM_REGIONS = frozenset({Region.SHOULDER, Region.ARM, Region.CHEST, Region.UPPER_BACK})
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
PATTERNS = frozenset({StretchTag.PATTERN})
SPOKEN = {Technique.CONTRACT_RELAX: "contract-relax"}
ARM_RAISES = (Movement.SHOULDER_ABDUCTION, Movement.SHOULDER_FLEXION)


@dataclass(frozen=True, slots=True)
class Finding:
    """What one rule says: the widest mode it leaves, why, and within which range.

    ``pending``: only because a question of the day is not answered yet. ``refuses``:
    it may not even be booked. ``caution``: it narrows nothing, but is to be heeded.
    """

    mode: Mode
    reason: Reason
    limits: tuple[Limit, ...] = ()
    pending: bool = False
    refuses: bool = False
    caution: bool = False


@dataclass(frozen=True)
class Target:
    """One stretch by one technique on one side, with where it touches and pulls."""

    spec: StretchSpec
    technique: Technique
    side: Side

    @cached_property
    def contacts(self) -> tuple[Site, ...]:
        """Where the practitioner touches, supporting contacts included."""
        return tuple(
            Site(region=c.region, side=placed(c.side, self.side)) for c in self.spec.contacts
        )

    @cached_property
    def main(self) -> Site:
        """The region that is stretched."""
        return Site(region=self.spec.region, side=self.side)

    @cached_property
    def pulls(self) -> tuple[Site, ...]:
        """Skin and tissue that is pulled across: what the stretch names and its own region."""
        named = (Site(region=p.region, side=placed(p.side, self.side)) for p in self.spec.pulls)
        return (self.main, *named)

    @cached_property
    def worked(self) -> tuple[Site, ...]:
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
    def assisted_only(self) -> bool:
        """Contract-relax and passive: the client cannot do them alone."""
        return self.technique is not Technique.ACTIVE_ISOLATED


SessionRule = Callable[[Facts, PermissionSettings], Iterable[Finding]]
TargetRule = Callable[[Facts, Target, PermissionSettings], Iterable[Finding]]


def placed(logic: SideLogic, side: Side) -> Side:
    """The side of a contact when a side is stretched."""
    if logic is SideLogic.BOTH or side is Side.BOTH:
        return Side.BOTH
    if logic is SideLogic.SAME:
        return side
    return Side.RIGHT if side is Side.LEFT else Side.LEFT


def sides_meet(one: Side, other: Side) -> bool:
    """Whether two sides have something in common."""
    return one is other or Side.BOTH in (one, other)


def meet(one: Site, other: Site) -> bool:
    """Whether two sites overlap."""
    return one.region is other.region and sides_meet(one.side, other.side)


def overlap(one: Iterable[Site], other: Iterable[Site]) -> list[Site]:
    """What two sets of sites have in common, on the narrower side."""
    others = list(other)
    return [
        Site(region=a.region, side=a.side if b.side is Side.BOTH else b.side)
        for a in one
        for b in others
        if meet(a, b)
    ]


def covers(sites: Iterable[Site], needed: Site) -> bool:
    """Whether some sites cover one whole site: left and right together cover both."""
    sides = {site.side for site in sites if site.region is needed.region}
    if Side.BOTH in sides or needed.side in sides:
        return True
    return needed.side is Side.BOTH and {Side.LEFT, Side.RIGHT} <= sides


def uncovered(sites: Iterable[Site], needed: Site) -> Site | None:
    """What of one whole site these sites leave open: only the side that is missing."""
    there = list(sites)
    if covers(there, needed):
        return None
    sides = (Side.LEFT, Side.RIGHT) if needed.side is Side.BOTH else ()
    open_ = [s for s in sides if not covers(there, Site(region=needed.region, side=s))]
    return Site(region=needed.region, side=open_[0]) if len(open_) == 1 else needed


def together(sites: Iterable[Site]) -> str:
    """Sites for people, each region once: "abdomen, left arm, leg" (a leg on both sides)."""
    sides: dict[Region, set[Side]] = {}
    for site in sites:
        sides.setdefault(site.region, set()).add(site.side)
    merged = [
        Site(region=region, side=next(iter(found)) if len(found) == 1 else Side.BOTH)
        for region, found in sides.items()
    ]
    return ", ".join(named(site) for site in sorted(merged))


def named(site: Site) -> str:
    """A site for people: "left shoulder"; the middle of the body without a side."""
    region = site.region.value.replace("_", " ")
    return region if site.side is Side.BOTH else f"{site.side.value} {region}"


def spoken(technique: Technique) -> str:
    """A technique for people, in one spelling: "contract-relax", "active isolated"."""
    return SPOKEN.get(technique, technique.value.replace("_", " "))


def clinical(code: str, text: str, source: str) -> Reason:
    """A health reason: the desk and billing see that there is one, not which."""
    return Reason(code=code, text=text, source=source, audience=Audience.CLINICAL)


def histories(client: ClientFacts) -> Iterator[HistoryContent]:
    """The reviewed history and whatever was reported since: each narrows, none widens."""
    if client.reviewed is not None:
        yield client.reviewed
    yield from client.reported


def operations(facts: Facts) -> list[Operation]:
    """The operations up to that day; one without a date counts as if it were today."""
    return [
        operation
        for history in histories(facts.client)
        for operation in history.operations
        if operation.on is None or operation.on <= facts.day
    ]


def operated_sites(operation: Operation, settings: PermissionSettings) -> list[Site]:
    """The sites an operation touched; of an unknown kind with no region named, all of them."""
    regions = {*settings.operation_regions.get(operation.kind, ()), *operation.regions}
    return [Site(region=region, side=operation.side) for region in sorted(regions or set(Region))]
