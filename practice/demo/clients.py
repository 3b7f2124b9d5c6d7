"""The demo's clients and their courses. Everyone here is invented."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Course:
    """One client: name, what was done, with whom and when the sessions are, how recovery goes.

    ``weekday`` 0 is Monday; ``start`` is the shoulder abduction (degrees) of the first
    session, ``gain`` degrees a week; ``missed`` are weeks without a session.
    """

    given_name: str
    family_name: str
    birth_date: str
    operation: str
    side: str
    weeks_since: int
    facility: str
    practitioner: str
    weekday: int
    hour: int
    start: int
    gain: float
    contact_by: str = "mail"
    gender: str | None = None
    missed: tuple[int, ...] = ()
    visits: int = 12


COURSES: tuple[Course, ...] = (
    Course(
        "Amara", "Lindholm", "1968-03-11", "mastectomy", "left", 9, "harbor", "ines", 0, 9, 102, 7.5
    ),
    Course(
        "Beatriz",
        "Novak",
        "1959-07-30",
        "lumpectomy",
        "right",
        6,
        "harbor",
        "ines",
        1,
        10,
        121,
        5.0,
    ),
    Course(
        "Carys",
        "Fontaine",
        "1975-12-02",
        "latissimus_reconstruction",
        "right",
        14,
        "harbor",
        "ines",
        2,
        11,
        95,
        6.0,
        gender="woman",
        missed=(4,),
    ),
    Course(
        "Delphine",
        "Osman",
        "1981-05-19",
        "mastectomy",
        "right",
        10,
        "harbor",
        "mira",
        3,
        14,
        110,
        4.0,
    ),
    Course(
        "Edith",
        "Varga",
        "1947-09-08",
        "axillary_dissection",
        "left",
        12,
        "mill",
        "jonas",
        0,
        9,
        88,
        5.5,
        contact_by="phone",
        missed=(2, 7),
        visits=10,
    ),
    Course(
        "Fabian",
        "Ekström",
        "1963-01-25",
        "head_and_neck",
        "left",
        16,
        "mill",
        "jonas",
        1,
        13,
        135,
        3.0,
    ),
    Course(
        "Greta",
        "Mbeki",
        "1970-10-14",
        "mastectomy",
        "left",
        20,
        "mill",
        "jonas",
        3,
        15,
        128,
        6.5,
        contact_by="text",
    ),
    Course(
        "Hana",
        "Delacroix",
        "1986-06-27",
        "lumpectomy",
        "left",
        5,
        "harbor",
        "mira",
        4,
        12,
        140,
        5.0,
    ),
)
