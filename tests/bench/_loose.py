"""What wide clothes do to measures: golfers in a shirt and in rain clothes, against their truth.

`python -m tests.bench._loose FIRST COUNT` looks at so many golfers from that seed on, once in a
shirt and once in rain clothes. For both it prints how sure the network is of their joints face-on,
by how much errors are stated wider for that, and how many of a hundred errors two stated ones hold,
as they are stated on people: without that widening, and with it.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from capturestation.records import Measured
from capturestation.swing.hard_to_see import wider_by
from capturestation.swing.measuring import IN_SPACE, WIDER_ON_PEOPLE, measure_all
from capturestation.swing.measuring_in_space import measure_both
from sample_sessions.loose import rain_clothes
from sample_sessions.people import somebody
from tests.bench._many import answers, one_network
from tests.bench._moment_pictures import Posed, cameras_of, posed
from tests.bench.measures import covered_pct


@dataclass(frozen=True, slots=True, kw_only=True)
class Dressed:
    """One golfer in his clothes.

    Args:
        seed: Who.
        is_loose: Whether he wears rain clothes.
    """

    seed: int
    is_loose: bool


def looked_at(one: Dressed) -> Posed:
    """A golfer at his moments, as the network sees him."""
    swing = somebody(one.seed)
    return posed(
        one_network(),
        swing,
        cameras=cameras_of(swing.hand, 3 * one.seed),
        shirt=one.seed,
        bay_seed=one.seed,
        loose=rain_clothes(one.seed) if one.is_loose else None,
    )


def by_pictures(one: Posed, *, widened: bool) -> dict[str, Measured]:
    """His measures by pictures, as they are stated on people."""
    wider = WIDER_ON_PEOPLE * (wider_by(one.surely) if widened else 1.0)
    results = measure_all(one.figure, one.marks, wider=wider)
    return {r.name: r.measured for r in results if r.measured is not None}


def in_space(one: Posed, *, widened: bool) -> dict[str, Measured]:
    """Likewise in space."""
    wider = WIDER_ON_PEOPLE * (wider_by(one.surely) if widened else 1.0)
    results = measure_both(one.figure, one.space, one.marks, wider=wider)
    return {
        r.name: r.measured
        for r in results
        if r.measured is not None and r.method.endswith(IN_SPACE)
    }


def lines(is_loose: bool, found: Sequence[Posed]) -> list[str]:
    """What there is to say of golfers in such clothes."""
    surely = [one.surely for one in found]
    wider = [wider_by(one) for one in surely]
    told = [
        f"{'rain clothes' if is_loose else 'shirt'}: {len(found)} golfers, "
        f"surely {min(surely):.2f} to {max(surely):.2f}, wider {np.mean(wider):.2f} in the mean"
    ]
    for name, values in (("by pictures", by_pictures), ("in space", in_space)):
        held = [
            covered_pct(found, lambda one, w=w, of=values: of(one, widened=w))  # type: ignore[misc]
            for w in (False, True)
        ]
        told.append(f"  {name}: {held[0]:.1f} % held, {held[1]:.1f} % with that widening")
    return told


def _main(first: int, count: int) -> None:
    asked = [
        Dressed(seed=seed, is_loose=loose)
        for seed in range(first, first + count)
        for loose in (False, True)
    ]
    found = answers(looked_at, asked)
    for is_loose in (False, True):
        ours = [one for who, one in zip(asked, found, strict=True) if who.is_loose is is_loose]
        print("\n".join(lines(is_loose, ours)))


if __name__ == "__main__":
    _main(int(sys.argv[1]), int(sys.argv[2]))
