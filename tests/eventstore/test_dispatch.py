"""Handlers by the class of an event: what is taken, and that nothing is forgotten silently."""

from __future__ import annotations

from types import ModuleType
from typing import Any
from uuid import UUID

import pytest
from msgspec import structs

from practice.core.appspec import installed
from practice.core.decisions import JobPlan, Slice
from practice.core.dispatch import Dispatch
from practice.core.event_texts import EventTexts, text_of_event
from practice.core.events import Event, RecordedEvent
from practice.core.projections import Projection
from tests.dsl import NOW


def module_of(name: str, *classes: str) -> ModuleType:
    """A module that defines events."""
    made = ModuleType(name)
    for one in classes:
        setattr(made, one, type(one, (Event,), {"__module__": name}, frozen=True, kw_only=True))
    return made


def recorded(event: Event) -> RecordedEvent:
    return RecordedEvent(1, UUID(int=7), 1, "cup.put_up", NOW, NOW, UUID(int=1), "test", event)


CUPS = module_of("cups", "Put", "Taken")
PLATES = module_of("plates", "Broken")
CUPS.Broken = PLATES.Broken  # imported, not defined: not its own


def cups(*, ignores: tuple[type[Event], ...] = ()) -> Slice[Any, Any]:
    return Slice("cups", initial=list, freeze=tuple, watches=(CUPS,), ignores=ignores)


def keep(builder, event, meta):
    builder.append((event, meta.version))


def test_only_the_exact_class_reaches_its_handler():
    taker = cups()
    builder: list[Any] = []
    taker.on(CUPS.Put)(keep)
    put = CUPS.Put()
    taker.apply(builder, recorded(put))
    taker.apply(builder, recorded(CUPS.Taken()))
    assert builder == [(put, 1)]
    assert taker.handles == (CUPS.Put,)


def test_one_handler_takes_several_classes():
    taker = cups()
    builder: list[Any] = []
    assert taker.on(CUPS.Put, CUPS.Taken)(keep) is keep, "the function stays as it was written"
    for event in (CUPS.Put(), CUPS.Taken()):
        taker.apply(builder, recorded(event))
    assert [type(event) for event, _ in builder] == [CUPS.Put, CUPS.Taken]
    assert list(taker.gaps()) == []


def test_an_event_with_neither_handler_nor_ignore_is_a_gap():
    taker = cups()
    taker.on(CUPS.Put)(keep)
    assert list(taker.gaps()) == ["Slice cups neither handles nor ignores cups.Taken"]


def test_what_is_ignored_aloud_is_no_gap():
    taker = cups(ignores=(CUPS.Taken,))
    taker.on(CUPS.Put)(keep)
    assert list(taker.gaps()) == []


def test_handled_and_ignored_is_a_gap():
    taker = cups(ignores=(CUPS.Put, CUPS.Taken))
    taker.on(CUPS.Put)(keep)
    assert list(taker.gaps()) == ["Slice cups both handles and ignores cups.Put"]


def test_ignoring_what_is_not_watched_is_a_gap():
    taker = cups(ignores=(CUPS.Taken, PLATES.Broken))
    taker.on(CUPS.Put)(keep)
    assert list(taker.gaps()) == [
        "Slice cups ignores plates.Broken, which no module that it watches defines"
    ]


def test_handling_what_is_not_watched_is_a_gap():
    taker = cups(ignores=(CUPS.Taken,))
    taker.on(CUPS.Put, PLATES.Broken)(keep)
    assert list(taker.gaps()) == [
        "Slice cups handles plates.Broken, which no module that it watches defines"
    ]


def test_a_second_handler_of_a_class_raises():
    taker = cups()
    taker.on(CUPS.Put)(keep)
    with pytest.raises(ValueError, match=r"Slice cups handles cups\.Put twice"):
        taker.on(CUPS.Put)(keep)


def test_a_handler_after_closing_raises():
    taker = cups()
    taker.on(CUPS.Put)(keep)
    taker.close()
    with pytest.raises(ValueError, match=r"cups\.Taken comes too late"):
        taker.on(CUPS.Taken)(keep)
    assert taker.handles == (CUPS.Put,)
    with pytest.raises(TypeError):
        taker.handlers[CUPS.Taken] = keep


@pytest.mark.parametrize(
    "make",
    [
        cups,
        lambda: Projection("shelf.Cup", watches=(CUPS,)),
        lambda: EventTexts("cups", watches=(CUPS,)),
        lambda: JobPlan("cups", watches=(CUPS,)),
    ],
)
def test_each_kind_of_table_knows_its_gaps(make):
    assert len(list(make().gaps())) == 2


def test_a_text_answers_and_the_rest_is_told_by_its_name():
    texts = EventTexts("cups", watches=(CUPS,), ignores=(CUPS.Taken,))
    texts.on(CUPS.Put)(lambda event, meta: f"A cup, number {meta.version}.")
    elsewhere = EventTexts("plates", watches=(PLATES,), ignores=(PLATES.Broken,))
    assert text_of_event(recorded(CUPS.Put()), (elsewhere, texts)) == "A cup, number 1."
    assert text_of_event(recorded(CUPS.Taken()), (elsewhere, texts)) == "Cup put up."


def test_nothing_installed_has_a_gap():
    tables: list[Dispatch] = [
        *installed.slices.values(),
        *installed.projections.values(),
        *installed.event_texts,
        *installed.job_plans,
    ]
    assert [gap for one in tables for gap in one.gaps()] == []
    assert [str(one) for one in tables if not one.watches] == []


def test_of_one_instant_the_one_recorded_last_comes_last():
    """Versions of two streams count apart; the time of recording orders across them."""
    first = structs.replace(recorded(CUPS.Put()), version=9)
    second = structs.replace(first, stream=UUID(int=8), version=2, recorded_at=NOW.replace(hour=16))
    third = structs.replace(second, version=3)
    earlier = structs.replace(third, occurred_at=NOW.replace(hour=14))
    assert sorted([third, second, earlier, first], key=lambda one: one.order) == [
        earlier,
        first,
        second,
        third,
    ]
