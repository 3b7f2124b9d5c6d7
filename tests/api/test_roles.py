"""Who may do what is named by the sets of one module; no view writes a set of its own."""

from __future__ import annotations

from typing import Any

from practice.http import roles
from tests.api.test_matrix import BY_NAME

NAMED = {id(one): name for name, one in vars(roles).items() if isinstance(one, frozenset)}


def test_every_view_names_its_roles_by_a_set_of_the_one_module() -> None:
    for name, entry in BY_NAME.items():
        callback: Any = entry.callback
        for method, given in callback.view_class.roles.items():
            assert id(given) in NAMED, (name, method)


def test_no_two_sets_are_the_same_under_two_names() -> None:
    sets = [one for one in vars(roles).values() if isinstance(one, frozenset)]
    assert len(set(sets)) == len(sets) > 5
