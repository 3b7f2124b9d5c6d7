"""The table of ratios and what goes into the JSON file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from statistics import median
from typing import Any

from tests.bench.measuring import Runs, times_as_fast


@dataclass
class Bar:
    """One line: what was done, beside whom, and how many times as fast (or events/s)."""

    what: str
    beside: str
    value: float
    unit: str
    wanted: float | None = None
    ours_ms: float | None = None
    peer_ms: float | None = None
    raw: dict[str, Any] = field(default_factory=dict)

    @classmethod
    def of(
        cls, what: str, peer: str, runs: Mapping[str, Runs], *, wanted: float | None = None
    ) -> Bar:
        """How many times as fast as a peer."""
        ours, theirs = runs["ours"], runs[peer]
        return cls(
            what,
            peer,
            times_as_fast(ours, theirs),
            "x",
            wanted,
            ours.quantile(0.5) * 1e3,
            theirs.quantile(0.5) * 1e3,
            {"ours": ours.as_json(), peer: theirs.as_json()},
        )

    @classmethod
    def rate(cls, what: str, rates: Sequence[float], *, wanted: float | None = None) -> Bar:
        """Events per second, the median of several runs."""
        return cls(what, "", median(rates), "/s", wanted, raw={"rates": list(rates)})

    def line(self) -> str:
        """The bar as a line of the table."""
        formats = {"/s": f"{self.value:,.0f}/s", "x": f"{self.value:.2f}", "": f"{self.value:g}"}
        value = formats.get(self.unit, f"{self.value:,.4g} {self.unit}")
        wanted = "" if self.wanted is None else f"{self.wanted:,g}{'/s' * (self.unit == '/s')}"
        times = "" if self.ours_ms is None else f"{self.ours_ms:.2f} / {self.peer_ms:.2f}"
        return f"{self.what:<68}{self.beside:<26}{value:>12}{wanted:>12}{times:>18}"


HEAD = f"{'bar':<68}{'beside':<26}{'measured':>12}{'wanted':>12}{'ms ours / peer':>18}"


def table(bars: Sequence[Bar]) -> str:
    """All bars; a ratio above 1 means faster than the peer. Printed, not judged."""
    return "\n".join([HEAD, "-" * len(HEAD), *(bar.line() for bar in bars)])


def as_json(bars: Sequence[Bar], about: Mapping[str, Any]) -> dict[str, Any]:
    """Everything measured, raw runs included."""
    return {**about, "bars": [asdict(bar) for bar in bars]}
