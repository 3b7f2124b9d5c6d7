"""A long series is thinned out for its picture, says so, and hides no loss and no gain."""

from __future__ import annotations

from datetime import timedelta
from uuid import UUID, uuid4

import matplotlib as mpl
import pytest
from msgspec import structs

from practice.clock import clock
from practice.core.terms import MotionType, Movement, Role, Side
from sessions.measurements.domain.comparison import ComparableReading
from sessions.measurements.domain.thinning import MOST_DRAWN, MOST_VALUED, thinned, valued
from sessions.measurements.models import Reading
from sessions.measurements.selectors.charts import thinning_words
from sessions.measurements.selectors.readings import ReadingLabeller, reading_of_row, reading_series
from tests.builders import Built, ok
from tests.sessions.people import open_client
from tests.sessions.stretches.stories import days_ago, measure


@pytest.fixture
def one(built: Built) -> ComparableReading:
    client = open_client(built)
    measure(built.api(Role.PRACTITIONER), client, 120, occurred_at=days_ago(1))
    return reading_of_row(Reading.objects.get(client_id=client))


def series(one: ComparableReading, degrees: list[int]) -> list[ComparableReading]:
    return [
        structs.replace(
            one,
            reading_id=uuid4(),
            degrees=value,
            occurred_at=one.occurred_at + timedelta(hours=number),
        )
        for number, value in enumerate(degrees)
    ]


def test_few_readings_are_all_drawn_and_one_more_is_thinned(one: ComparableReading) -> None:
    few = series(one, [100] * MOST_DRAWN)
    assert thinned(few) == few
    assert len(thinned(series(one, [100] * (MOST_DRAWN + 1)))) <= MOST_DRAWN


@pytest.mark.parametrize("place", [0, 1, 4999, 9998, 9999])
@pytest.mark.parametrize("value", [10, 180])
def test_a_single_loss_or_gain_among_ten_thousand_is_drawn(
    one: ComparableReading, place: int, value: int
) -> None:
    degrees = [100 + n % 5 for n in range(10_000)]
    degrees[place] = value
    found = thinned(series(one, degrees))
    assert len(found) <= MOST_DRAWN
    assert value in {reading.degrees for reading in found}
    times = [reading.occurred_at for reading in found]
    assert times == sorted(times)


def test_the_picture_says_that_it_is_thinned(built: Built, monkeypatch: pytest.MonkeyPatch) -> None:
    client = open_client(built)
    api = built.api(Role.PRACTITIONER)
    measure(api, client, 120, occurred_at=days_ago(1))
    found = reading_series(client, Movement.SHOULDER_ABDUCTION, Side.RIGHT, MotionType.ACTIVE)
    assert thinning_words(found, found) == ""
    row = Reading.objects.get(client_id=client)
    many = 500
    for number in range(many):
        row.pk, row.taken_at = uuid4(), clock.now() - timedelta(days=900 - number)
        row.save(force_insert=True)
    monkeypatch.setitem(mpl.rcParams, "svg.fonttype", "none")
    query = {"movement": "shoulder_abduction", "side": "right"}
    answer = api.get(f"clients/{UUID(str(client))}/range-of-motion/chart", query)
    assert answer.status_code == 200
    assert f"of {many + 1} readings drawn" in answer.content.decode()


def test_values_are_written_at_all_of_few_and_at_the_telling_ones_of_many(
    one: ComparableReading,
) -> None:
    few = series(one, [100 + n % 5 for n in range(MOST_VALUED)])
    assert valued(few) == few
    degrees = [100 + n % 5 for n in range(MOST_VALUED + 1)]
    degrees[20], degrees[40], degrees[-1] = 10, 170, 99
    many = series(one, degrees)
    assert [found.degrees for found in valued(many)] == [100, 10, 170, 99]


def test_the_labels_of_a_page_rest_on_all_readings_of_their_kind_and_on_no_other(
    built: Built,
) -> None:
    """The best and the baseline lie far before the page; another side has no part in it."""
    client = open_client(built)
    api = built.api(Role.PRACTITIONER)
    measure(api, client, 150, occurred_at=days_ago(9))
    measure(api, client, 170, occurred_at=days_ago(8))
    measure(api, client, 90, occurred_at=days_ago(2), side="left")
    measure(api, client, 160, occurred_at=days_ago(1))
    page = ok(api.get(f"clients/{client}/range-of-motion", {"page_size": 1}))["results"]
    (shown,) = page
    against = {found["against"]: found["degrees"] for found in shown["comparisons"]}
    assert against == {"baseline": 150, "last": 170, "best": 170}


def test_a_reading_marked_in_error_while_its_page_is_read_has_labels_all_the_same(
    built: Built,
) -> None:
    client = open_client(built)
    api = built.api(Role.PRACTITIONER)
    measure(api, client, 150, occurred_at=days_ago(9))
    measure(api, client, 160, occurred_at=days_ago(1))
    row = Reading.objects.get(client_id=client, degrees=160)
    path = f"clients/{client}/range-of-motion/{row.pk}/entered-in-error"
    ok(api.post(path, {"reason": "another client's"}))
    (found,) = ReadingLabeller.of_client(row.client_id, [row]).labels(row.pk).comparisons[:1]
    assert (found.against, found.degrees) == ("baseline", 150)
