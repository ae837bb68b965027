"""What is decided on a candidate, and by which clock it is kept."""

from __future__ import annotations

from collections.abc import Sequence

from capturestation.capture.clock import SourceClock
from capturestation.capture.ear import Sounded
from capturestation.capture.eye import MotionConfirmer
from capturestation.capture.messages import Fact
from capturestation.capture.witness import Witness
from capturestation.records.capture import Candidate, Confirmed, Look, Verdict

S = 1_000_000_000
HEARD = Candidate(at_host_ns=S, u_ns=1, snr_db=20.0, sharpness=0.7, peak=0.2)
LEFT = Confirmed(verdict=Verdict.LEFT, said="The ball leaves.")


class Late(MotionConfirmer):
    """Looks for so long that what comes is on time again."""

    def __init__(self, clock: SourceClock) -> None:
        super().__init__()
        self._clock = clock

    def confirm(self, candidate: Candidate, looks: Sequence[Look]) -> Confirmed:
        """Look."""
        super().confirm(candidate, looks)
        self._clock.add(2 * S, 2 * S + 7)
        return LEFT


def test_a_ball_is_kept_by_the_clock_that_holds_once_it_was_looked_at() -> None:
    clock = SourceClock(own=True)
    clock.add(0, 10 * S)
    kept: list[tuple[Candidate, Confirmed, str]] = []
    told: list[Fact] = []
    witness = Witness([], Late(clock), lambda *one: kept.append(one), told.append)

    witness.start()
    witness.take(Sounded(candidate=HEARD, clock=clock), "whose")
    witness.stop()

    [(candidate, confirmed, ticket)] = kept
    assert candidate.at_host_ns == S + 7
    assert (confirmed, ticket, told) == (LEFT, "whose", [])
