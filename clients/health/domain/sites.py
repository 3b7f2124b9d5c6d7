"""How sites of the body meet and cover each other, and how they are said. Pure."""

from __future__ import annotations

from collections.abc import Iterable

from clients.health.domain.content import BodySite
from practice.core.terms import Region, Side, Technique

SPOKEN = {Technique.CONTRACT_RELAX: "contract-relax"}


def sides_meet(one: Side, other: Side) -> bool:
    """Whether two sides have something in common."""
    return one is other or Side.BOTH in (one, other)


def sites_meet(one: BodySite, other: BodySite) -> bool:
    """Whether two sites overlap."""
    return one.region is other.region and sides_meet(one.side, other.side)


def overlapping_sites(one: Iterable[BodySite], other: Iterable[BodySite]) -> list[BodySite]:
    """What two sets of sites have in common, on the narrower side."""
    others = list(other)
    return [
        BodySite(region=a.region, side=a.side if b.side is Side.BOTH else b.side)
        for a in one
        for b in others
        if sites_meet(a, b)
    ]


def covers(sites: Iterable[BodySite], needed: BodySite) -> bool:
    """Whether some sites cover one whole site: left and right together cover both."""
    sides = {site.side for site in sites if site.region is needed.region}
    if Side.BOTH in sides or needed.side in sides:
        return True
    return needed.side is Side.BOTH and {Side.LEFT, Side.RIGHT} <= sides


def uncovered_part(sites: Iterable[BodySite], needed: BodySite) -> BodySite | None:
    """What of one whole site these sites leave open: only the side that is missing."""
    there = list(sites)
    if covers(there, needed):
        return None
    sides = (Side.LEFT, Side.RIGHT) if needed.side is Side.BOTH else ()
    open_ = [s for s in sides if not covers(there, BodySite(region=needed.region, side=s))]
    return BodySite(region=needed.region, side=open_[0]) if len(open_) == 1 else needed


def sites_text(sites: Iterable[BodySite]) -> str:
    """Sites for people, each region once: "abdomen, left arm, leg" (a leg on both sides)."""
    sides: dict[Region, set[Side]] = {}
    for site in sites:
        sides.setdefault(site.region, set()).add(site.side)
    merged = [
        BodySite(region=region, side=next(iter(found)) if len(found) == 1 else Side.BOTH)
        for region, found in sides.items()
    ]
    return ", ".join(site_text(site) for site in sorted(merged))


def site_text(site: BodySite) -> str:
    """A site for people: "left shoulder"; the middle of the body without a side."""
    region = site.region.value.replace("_", " ")
    return region if site.side is Side.BOTH else f"{site.side.value} {region}"


def technique_text(technique: Technique) -> str:
    """A technique for people, in one spelling: "contract-relax", "active isolated"."""
    return SPOKEN.get(technique, technique.value.replace("_", " "))
