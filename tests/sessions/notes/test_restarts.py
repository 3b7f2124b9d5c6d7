"""A device whose counter started anew: its words are never dropped in silence."""

from __future__ import annotations

import random
from itertools import permutations
from typing import Any

import pytest

from sessions.notes.domain.draft_fields import DraftSave
from sessions.notes.domain.drafts import Draft, apply_draft_save


def save(
    device: str, sequence: int, base: int, changes: dict[str, Any], *, whole: bool = False
) -> DraftSave:
    return DraftSave(device=device, sequence=sequence, base=base, changes=changes, whole=whole)


def stands(draft: Draft) -> dict[str, set[Any]]:
    """Every value that can be read, by field."""
    return {name: set(field.values) for name, field in draft.fields.items() if field.heads}


def after(*saves: DraftSave) -> Draft:
    draft = Draft()
    for one in saves:
        apply_draft_save(draft, one)
    return draft


# Upon one revision, so that the order of coming must make no difference.
NUMBER_OF_ANOTHER_FIELD = [
    save("phone", 1, 0, {"subjective": "before"}),
    save("phone", 5, 0, {"plan": "before"}),
    save("phone", 1, 0, {"plan": "after the restart"}),
]
WHOLE_NOTE = [
    save("phone", 1, 0, {"subjective": "first"}),
    save("phone", 4, 0, {"subjective": "before"}, whole=True),
    save("phone", 1, 0, {"subjective": "first", "plan": "after the restart"}, whole=True),
]


@pytest.mark.parametrize("log", [NUMBER_OF_ANOTHER_FIELD, WHOLE_NOTE])
def test_a_number_used_again_for_another_field_drops_nothing(log: list[DraftSave]) -> None:
    for order in permutations(log):
        found = stands(after(*order))
        assert "after the restart" in found["plan"], order
        if log is NUMBER_OF_ANOTHER_FIELD:
            assert found == {"subjective": {"before"}, "plan": {"before", "after the restart"}}


def test_a_counter_that_fell_upon_a_later_revision_started_anew() -> None:
    """Number 1 upon revision 2 cannot have been made before number 3 upon it: number 2 was used
    upon revision 1 already."""
    fell = [save("phone", 3, 2, {"plan": "before"}), save("phone", 1, 2, {"plan": "anew"})]
    begun = [save("tablet", 1, 0, {"subjective": "x"}), save("phone", 2, 1, {"objective": "y"})]
    assert stands(after(*begun, *fell))["plan"] == {"before", "anew"}
    tablet = [*begun[:1], save("tablet", 2, 1, {"subjective": "z"})]
    late = after(*tablet, *fell)
    assert stands(late)["plan"] == {"before"}, "late, as far as can be told"
    revision = late.revision
    apply_draft_save(late, save("phone", 2, 1, {"objective": "y"}))
    assert stands(late)["plan"] == {"before", "anew"}, "brought back once it shows"
    assert late.revision == revision + 1


def test_what_was_brought_back_is_settled_only_by_who_has_seen_it() -> None:
    draft = after(
        save("tablet", 1, 0, {"subjective": "x"}),
        save("phone", 5, 0, {"plan": "before"}),
        save("phone", 1, 0, {"plan": "anew"}),
    )
    assert stands(draft)["plan"] == {"before"}, "late, as far as can be told"
    seen = draft.revision
    apply_draft_save(draft, save("phone", 1, 0, {"objective": "other words under number 1"}))
    assert stands(draft)["plan"] == {"before", "anew"}
    apply_draft_save(draft, save("tablet", 2, seen, {"plan": "tablet"}))
    assert stands(draft)["plan"] == {"anew", "tablet"}
    apply_draft_save(draft, save("tablet", 3, draft.revision, {"plan": "settled"}))
    assert stands(draft)["plan"] == {"settled"}


def test_what_was_overtaken_nobody_has_read() -> None:
    """Another device wrote the field while it did not show."""
    draft = after(
        save("tablet", 1, 0, {"subjective": "x"}),
        save("phone", 5, 0, {"plan": "before"}),
        save("phone", 1, 0, {"plan": "anew"}),
    )
    apply_draft_save(draft, save("tablet", 2, draft.revision, {"plan": "tablet"}))
    apply_draft_save(draft, save("phone", 1, 0, {"objective": "other words under number 1"}))
    assert stands(draft)["plan"] == {"anew", "tablet"}


def test_a_save_sent_again_with_more_in_it_is_the_same_save() -> None:
    once = save("phone", 1, 0, {"plan": "a"})
    more = save("phone", 1, 0, {"plan": "a", "subjective": "b"})
    for first, second in permutations([once, more]):
        draft = after(first, second, save("phone", 2, 0, {"plan": "c"}))
        assert stands(draft) == {"plan": {"c"}, "subjective": {"b"}}
        late = after(save("phone", 2, 0, {"plan": "c"}), first, second)
        assert stands(late) == {"plan": {"c"}, "subjective": {"b"}}


def test_a_restart_that_has_read_the_draft_is_in_no_doubt() -> None:
    begun = [save("phone", n, n - 1, {"plan": f"word {n}"}) for n in (1, 2, 3)]
    anew = [save("phone", n, 3, {"plan": f"anew {n}"}) for n in (1, 2, 3)]
    for order in permutations(anew):
        assert stands(after(*begun, *order, *begun)) == {"plan": {"anew 3"}}


def test_a_name_taken_at_each_start_leaves_no_doubt() -> None:
    """Then numbers upon one revision are those of one start, however far they go."""
    begun = [save("phone a", n, n - 1, {"plan": f"word {n}"}) for n in (1, 2, 3)]
    anew = [save("phone b", n, 3, {"plan": f"anew {n}"}) for n in range(1, 8)]
    random.Random(8).shuffle(anew)
    assert stands(after(*begun, *anew, *anew)) == {"plan": {"anew 7"}}


def test_two_whole_notes_of_one_number_are_two_saves() -> None:
    """The second says all that the first said and more: of a whole note that is another one."""
    first = save("phone", 1, 0, {"plan": "a"}, whole=True)
    second = save("phone", 1, 0, {"plan": "a", "subjective": "b"}, whole=True)
    for order in permutations([first, second]):
        late = after(*order, save("phone", 2, 0, {"subjective": "c"}))
        assert "b" in stands(late)["subjective"], order


def test_a_later_number_used_again_overtakes_only_where_each_save_wrote_the_field() -> None:
    two = [save("phone", 2, 0, {"plan": "b"}), save("phone", 2, 0, {"subjective": "x"})]
    for order in permutations([save("phone", 1, 0, {"plan": "a"}), *two]):
        assert stands(after(*order))["plan"] == {"a", "b"}, order


def test_a_counter_that_fell_to_the_very_number_started_anew() -> None:
    """Number 2 was used upon revision 1: another 2 upon revision 2 is of a later start."""
    begun = [save("tablet", 1, 0, {"subjective": "x"}), save("phone", 2, 1, {"objective": "y"})]
    fell = [save("phone", 3, 2, {"plan": "before"}), save("phone", 2, 2, {"plan": "anew"})]
    assert stands(after(*begun, *fell))["plan"] == {"before", "anew"}


def test_two_starts_upon_revisions_that_followed_are_told_apart() -> None:
    """Number 1 upon revision 2 began a start; number 1 upon revision 3 began the next one, so
    that it may be later than number 2 there."""
    log = [
        save("phone", 1, 0, {"line.a": "1"}),
        save("phone", 2, 1, {"line.a": "2"}),
        save("phone", 1, 2, {"line.a": "3"}),
        save("phone", 2, 3, {"plan": "second start"}),
        save("phone", 1, 3, {"plan": "third start"}),
    ]
    assert stands(after(*log))["plan"] == {"second start", "third start"}


def test_a_whole_note_sent_again_changes_what_it_changed_the_first_time() -> None:
    """Though its device has written since, under a number that was used again."""
    whole = save("phone", 2, 0, {"plan": "a"}, whole=True)
    other = save("phone", 2, 0, {"subjective": "b"})
    draft = after(whole, other)
    revision = draft.revision
    apply_draft_save(draft, whole)
    assert stands(draft) == {"plan": {"a"}, "subjective": {"b"}}
    assert draft.revision == revision
