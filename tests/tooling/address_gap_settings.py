"""The program's settings with a gap in its addresses: nobody says whose record a payer's id is."""

from practice.settings import *  # noqa: F403
from practice.settings import APP_SPECS

APP_SPECS = [*APP_SPECS[:-1], "tests.tooling.address_gap_spec.APP"]
