"""Names taken apart, folded, coded by sound and compared, against published examples."""

from __future__ import annotations

import jellyfish
import pytest

from clients.identity.domain.names import (
    MAX_LENGTH,
    NameSettings,
    approximate_codes,
    name_parts,
    names_alike,
    parts_alike,
    parts_of_person,
    phone_code,
    search_codes,
    search_key,
    slip_codes,
    sound_codes,
)

SETTINGS = NameSettings(sounds_alike_from=0.7)


@pytest.mark.parametrize(
    ("one", "other", "likeness"),
    [("MARTHA", "MARHTA", 0.961), ("DIXON", "DICKSONX", 0.813), ("DWAYNE", "DUANE", 0.840)],
)
def test_likeness_is_that_of_winkler_1990(one: str, other: str, likeness: float) -> None:
    assert jellyfish.jaro_winkler_similarity(one, other) == pytest.approx(likeness, abs=0.0005)


@pytest.mark.parametrize(
    ("name", "code"),
    [
        # US National Archives, The Soundex Indexing System.
        ("washington", "W252"),
        ("lee", "L000"),
        ("gutierrez", "G362"),
        ("pfister", "P236"),
        ("jackson", "J250"),
        ("tymczak", "T522"),
        ("ashcraft", "A261"),
        # Knuth, The Art of Computer Programming, volume 3.
        ("robert", "R163"),
        ("rupert", "R163"),
    ],
)
def test_soundex_is_that_of_the_census(name: str, code: str) -> None:
    assert f"s{code}" in sound_codes(name)


def test_metaphone_hears_what_soundex_does_not() -> None:
    assert sound_codes("catherine") & sound_codes("katherine") == {"mK0RN"}


@pytest.mark.parametrize("part", ["李", "مريم", "ольга", "1971", "🙂"])
def test_a_part_in_another_script_or_without_letters_has_no_sound(part: str) -> None:
    assert sound_codes(part) == frozenset()


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("  Íñez ", "inez"),
        ("Ærøskøbing", "aeroskobing"),
        ("Łukasz Đorđe", "lukasz dorde"),
        ("Straße", "strasse"),
        ("ＡＤＡ", "ada"),
    ],
)
def test_a_name_is_folded_by_nfkd_case_and_the_latin_letters_of_cldr(name: str, key: str) -> None:
    assert search_key(name) == key


def test_a_key_has_an_end() -> None:
    assert len(search_key("a" * (MAX_LENGTH + 1))) == MAX_LENGTH


@pytest.mark.parametrize(
    ("asked", "parts"),
    [
        ("van der Meer", ("van", "der", "meer")),
        ("Lindholm, Maja", ("lindholm", "maja")),
        ("O'Neil-Smith", ("oneil", "smith")),
        ("Ó", ("o",)),
        ("Ana Ana", ("ana",)),
        ("  ,'- ", ()),
        ("x" * 50, ("x" * 40,)),
    ],
)
def test_a_name_is_asked_for_by_its_parts(asked: str, parts: tuple[str, ...]) -> None:
    assert name_parts(asked) == parts


def test_a_person_is_found_by_parts_behind_an_apostrophe_and_by_names_written_as_one() -> None:
    assert set(parts_of_person("Mary Ann", "O'Neil")) == {
        "mary",
        "ann",
        "maryann",
        "oneil",
        "o",
        "neil",
    }
    assert "vandermeer" in parts_of_person("Jo", "van der Meer")
    assert parts_of_person("", "Suharto") == ("suharto",)


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        ("meyer", "maier", True),
        ("smith", "schmidt", True),
        ("catherine", "katherine", True),
        ("lindqvist", "lindqvsit", True),  # Two letters changed about.
        ("lindqvist", "lindqist", True),  # One left out.
        ("lindqvist", "kindqvist", True),  # The first is another.
        ("lindqvist", "lindqqvist", True),  # One twice.
        ("lindqvist", "lundqvisd", True),  # Sounds alike.
        ("lind", "land", True),
        ("ida", "ada", False),  # Three letters: another name.
        ("ida", "ira", False),
        ("garcia", "gomez", False),
        ("peterson", "pedersen", True),
        ("li", "lee", False),  # One Soundex code, and less alike than the setting asks.
    ],
)
def test_parts_are_alike_by_one_slip_or_by_sound(one: str, other: str, alike: bool) -> None:
    assert parts_alike(one, other, SETTINGS) is alike
    assert parts_alike(other, one, SETTINGS) is alike


@pytest.mark.parametrize(("least", "alike"), [(0.76, True), (0.761, False)])
def test_sound_alone_needs_the_likeness_of_the_setting(least: float, alike: bool) -> None:
    """Meyer and Maier: Soundex M600 both, Jaro–Winkler 0.76."""
    assert parts_alike("meyer", "maier", NameSettings(sounds_alike_from=least)) is alike


@pytest.mark.parametrize(
    ("one", "other"), [("lind", "lnid"), ("lind", "lin"), ("lind", "linda"), ("lind", "lend")]
)
def test_whatever_is_one_slip_away_shares_a_code(one: str, other: str) -> None:
    codes = slip_codes(one) & slip_codes(other) if len(other) > 3 else {"x"}
    assert codes


def test_a_part_of_three_letters_has_no_slips_and_one_of_four_has() -> None:
    assert slip_codes("ida") == frozenset()
    assert slip_codes("lind") == {"lind", "ind", "lnd", "lid", "lin"}


def test_names_are_alike_in_any_order_and_without_a_middle_name() -> None:
    assert names_alike(("maja", "lindholm"), ("lindholm", "maya"), SETTINGS)
    assert names_alike(("maja", "lindholm"), ("maja", "sofia", "lindholm"), SETTINGS)
    assert not names_alike(("maja", "lindholm"), ("maja", "okafor"), SETTINGS)
    assert not names_alike((), ("maja",), SETTINGS)


def test_a_part_is_found_by_itself_its_sounds_and_its_slips() -> None:
    found = dict(search_codes(["meyer"]))
    assert set(found) == {"n:meyer", *approximate_codes("meyer")}
    assert {"s:sM600", "x:meyr"} <= approximate_codes("meyer")
    assert set(found.values()) == {"meyer"}


def test_a_phone_is_looked_up_from_its_end() -> None:
    """E.164: the number is digits behind a plus."""
    assert phone_code("+14155550123") == "p:32105555141"
    assert phone_code("+14155550123").startswith(phone_code("0123"))
