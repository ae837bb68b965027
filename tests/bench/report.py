"""What a benchmark says: bars as stated, values as measured, and what they were compared with."""

from __future__ import annotations

import os
import platform
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Detail = None | bool | int | float | str | list["Detail"] | dict[str, "Detail"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One figure against its bar; a miss is reported as it is and the bar stays."""

    name: str
    value: float
    unit: str
    op: Literal["<=", ">="]
    bar: float

    @property
    def holds(self) -> bool:
        """Whether the value is on the right side of the bar."""
        return self.value <= self.bar if self.op == "<=" else self.value >= self.bar

    def plain(self) -> dict[str, Detail]:
        """The bar as JSON values."""
        return {
            "name": self.name,
            "value": round(self.value, 4),
            "unit": self.unit,
            "op": self.op,
            "bar": self.bar,
            "holds": self.holds,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchReport:
    """All bars of one benchmark and the details beside them."""

    bench: str
    bars: tuple[Bar, ...]
    details: Mapping[str, Detail] = field(default_factory=dict)

    def plain(self) -> dict[str, Detail]:
        """The report as JSON values, with the machine it ran on."""
        return {
            "bench": self.bench,
            "machine": machine(),
            "bars": [bar.plain() for bar in self.bars],
            "details": dict(self.details),
        }


def machine() -> dict[str, Detail]:
    """What the figures were measured on."""
    return {
        "system": f"{platform.system()} {platform.machine()}",
        "cores": os.cpu_count(),
        "python": sys.version.split()[0],
    }
