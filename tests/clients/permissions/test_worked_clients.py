"""Three clients worked through by hand, verdict by verdict.

Run this file as a module (``python -m tests.clients.permissions.test_worked_clients``)
to print their verdicts with every reason and its source, and after them those of the thirteen
clients of ``worked_lines.py``, with load and what the whole session heeds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import date, timedelta
from uuid import UUID

import msgspec

from clients.health.domain.terms import ConditionKind, NeckHistory, OperationKind
from clients.orders.domain.terms import OrderSubject
from clients.permissions.domain.inputs import PainFreeHeight, PermissionFacts
from practice.core.reasons import Reason
from practice.core.terms import Credential, Mode, Region, Side
from tests.clients.permissions import given as g
from tests.clients.permissions.worked_lines import LINES

replace = msgspec.structs.replace


def days_ago(number: int) -> date:
    return g.DAY - timedelta(days=number)


def six_weeks_after_mastectomy() -> PermissionFacts:
    """Left mastectomy with axillary dissection six weeks ago, irradiated, pinching today.

    The skin is whole, incision healed, drains out; neck not asked yet; no clearance.
    """
    chest = tuple(g.site(r, Side.LEFT) for r in (Region.CHEST, Region.SHOULDER))
    history = g.history(
        operations=(
            g.healed(OperationKind.MASTECTOMY, Side.LEFT, days_ago(42)),
            g.healed(OperationKind.AXILLARY_DISSECTION, Side.LEFT, days_ago(42)),
        ),
        radiations=(g.radiation(*chest, skin_broken=False),),
        neck=NeckHistory.NOT_ASKED,
    )
    pinch = PainFreeHeight(side=Side.LEFT, pinches=True, degrees=100)
    return g.facts(reviewed=history, arrival=g.arrival(shoulders=(pinch,)))


def four_months_after_a_flap() -> PermissionFacts:
    """Abdominal flap 17 weeks ago with clearance for stretching and tilts, fragile bone, erect."""
    abdomen = (g.site(Region.ABDOMEN), g.site(Region.LOWER_BACK))
    paper = g.clearance_order(
        OrderSubject.STRETCHING,
        OrderSubject.PELVIC_TILTS,
        OrderSubject.CURLS,
        sites=abdomen,
        given_on=days_ago(30),
    )
    history = g.history(
        operations=(g.healed(OperationKind.ABDOMINAL_FLAP, Side.BOTH, days_ago(120)),),
        conditions=(g.condition(ConditionKind.BONE_FRAGILITY),),
    )
    return g.facts(reviewed=history, orders=(paper,))


def a_year_after_with_a_trainer() -> PermissionFacts:
    """A year after lumpectomy on the right, with a trainer where nothing is on record of law."""
    trainer = replace(
        g.THERAPIST,
        practitioner_id=UUID(int=11),
        credential=Credential.PERSONAL_TRAINER,
        licences=(),
    )
    history = g.history(operations=(g.healed(OperationKind.LUMPECTOMY, Side.RIGHT, days_ago(365)),))
    return g.facts(reviewed=history, practitioner=trainer)


CLIENTS = (six_weeks_after_mastectomy, four_months_after_a_flap, a_year_after_with_a_trainer)


def test_six_weeks_after_mastectomy_with_a_shoulder_that_pinches() -> None:
    known = six_weeks_after_mastectomy()
    at_100 = {"shoulder_abduction": 100.0, "shoulder_flexion": 100.0}
    flexion = g.stretch_permission(known, g.FLEXION)
    assert (flexion.mode, g.degrees(flexion)) == (Mode.HANDS_ON, at_100)
    assert g.degrees(g.stretch_permission(known, g.FLEXION, side=Side.RIGHT)) == {}
    for technique in (g.CR, g.PASSIVE):
        left = g.stretch_permission(known, g.FLEXION, technique)
        assert left.mode is Mode.NOT_TODAY
        assert {"surgery.weeks", "surgery.no_clearance"} <= g.codes(left)
        assert left.offered_instead is g.AI
        assert g.stretch_permission(known, g.FLEXION, technique, Side.RIGHT).mode is Mode.HANDS_ON
    chest = g.stretch_permission(known, g.CHEST)
    assert (chest.mode, g.degrees(chest)) == (Mode.HANDS_ON, at_100)
    assert (
        g.stretch_permission(known, g.EAR_TO_SHOULDER, side=Side.RIGHT).mode is Mode.SELF_DIRECTED
    )
    assert g.stretch_permission(known, g.BREATHING).mode is Mode.SELF_DIRECTED


def test_four_months_after_a_flap_with_fragile_bone() -> None:
    known = four_months_after_a_flap()
    assert g.stretch_permission(known, g.FLEXION).mode is Mode.HANDS_ON
    assert g.stretch_permission(known, g.FLEXION, g.PASSIVE).mode is Mode.NOT_TODAY
    assert g.stretch_permission(known, g.TILTS).mode is Mode.SELF_DIRECTED
    curls = g.stretch_permission(known, g.CURLS)
    assert (curls.mode, g.codes(curls)) == (
        Mode.NOT_TODAY,
        {"bone.curls", "technique.no_contact"},
    )
    assert "bone.trunk" in g.codes(g.stretch_permission(known, g.LOW_BACK))


def test_a_year_after_with_a_trainer_of_unknown_law_all_is_self_directed() -> None:
    known = a_year_after_with_a_trainer()
    permissions = g.evaluated(known)
    assert permissions.mode is Mode.SELF_DIRECTED
    for stretch_permission in permissions.stretch_permissions:
        assisted = stretch_permission.technique is not g.AI
        assert stretch_permission.mode is (Mode.NOT_TODAY if assisted else Mode.SELF_DIRECTED)
        assert "law.unknown" in g.codes(stretch_permission)


def printed() -> str:
    """Every worked client: a line for each verdict, and one below it for each reason."""
    return "\n".join(line for client in (*CLIENTS, *LINES) for line in _printed(client))


def _printed(client: Callable[[], PermissionFacts]) -> Iterator[str]:
    yield f"== {client.__name__.replace('_', ' ')}"
    yield from (client.__doc__ or "").split("\n")
    found = g.evaluated(client())
    yield f"the whole session: {found.mode}, by hand: {found.extent}"
    yield from _reasons(found.reasons)
    for one in found.stretch_permissions:
        limits = ", ".join(f"{x.movement} to {x.degrees:g}" for x in one.limits)
        what = f"{one.stretch} / {one.technique} / {one.side}: {one.mode}"
        yield what + (f" ({limits})" if limits else "")
        yield from _reasons(one.reasons)
    for limb in found.load:
        yield f"load / {limb.limb}: {'open' if limb.open else 'closed'}"
        yield from _reasons(limb.reasons)
    for question in found.questions:
        yield f"to be asked today: {question}"
    if found.warnings:
        yield "to be seen to"
        yield from _reasons(found.warnings)


def _reasons(reasons: Iterable[Reason]) -> Iterator[str]:
    return (f"    {r.code}: {r.text} [{r.source}]" for r in reasons)


def test_all_of_them_can_be_printed_with_every_verdict() -> None:
    text = printed()
    assert text.count("\n== ") == len(CLIENTS) + len(LINES) - 1
    verdicts = [
        one for each in (*CLIENTS, *LINES) for one in g.evaluated(each()).stretch_permissions
    ]
    for one in verdicts:
        assert f"{one.stretch} / {one.technique} / {one.side}: {one.mode}" in text
        assert all(reason.text in text for reason in one.reasons)


if __name__ == "__main__":
    import sys

    sys.stdout.write(printed() + "\n")
