"""What is kept by itself: 200 balls struck, and some 380 sounds that are none, in one shuffled run.

Balls are struck in real backgrounds at 12-35 dB. What is none: over 300 sudden sounds cut out of
recordings (speech, percussion, machines) at three levels, and neighbours' strikes as loud as ours,
while the mat shows, in equal parts: a ball at rest, a waggle, a rehearsal, a ball taken away or
set down by hand or club, somebody crossing, a change of light, spare balls. Sounds, scenes and
stations are others than those on which settings were chosen. A ball of which the picture can't
tell is kept, as it is by default.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Sequence

import numpy as np

from capturestation.capture.witness import AGAIN_NS, Rules
from capturestation.records import NS_PER_S, SoundArray
from capturestation.records.capture import Candidate, Verdict
from capturestation.timing.streaming import StreamingListener
from capturestation.tracking.confirm import BallConfirmer
from tests.bench import _mat_events as mat
from tests.bench.report import Bar, BenchReport, Detail
from tests.helpers import filmed_mats, real_sounds
from tests.helpers.mat_scenes import Filmed, Kind
from tests.helpers.real_sounds import RATE_HZ

_BLOCK = 480
_NEAR_NS = 20_000_000
_SLOT_NS = 3 * NS_PER_S
Pairs = dict[Kind, list[tuple[Filmed, Filmed]]]


class Run:
    """One shuffled run of one station.

    Args:
        pairs: The scenes of each kind.
    """

    def __init__(self, pairs: Pairs) -> None:
        self._pairs = pairs
        self._listener = StreamingListener()
        self._confirmer = BallConfirmer()
        self.kept: list[tuple[mat.Event, Verdict]] = []
        self.heard: list[mat.Event] = []
        self.missed: list[str] = []
        self.confirm_ms: list[float] = []
        self.block_us: list[float] = []

    def take(self, event: mat.Event, sound: SoundArray, at_s: float, start_ns: int) -> None:
        """Hear and see one event."""
        pair = self._pairs[event.shown][event.scene]
        at_ns = start_ns + round(at_s * NS_PER_S)
        self._confirmer.at_rest(mat.stills_of(event, pair, at_ns))
        last_ns: int | None = None
        heard = self._heard(sound, start_ns)
        if event.heard is mat.Heard.OURS:
            heard = [one for one in heard if abs(one.at_host_ns - at_ns) < _NEAR_NS]
        if heard:
            self.heard.append(event)
        for candidate in heard:
            if last_ns is not None and candidate.at_host_ns - last_ns < AGAIN_NS:
                continue
            # Whatever sounds next while that is shown is judged as if it sounded just then.
            ours = event.heard is mat.Heard.OURS
            looks = mat.looks_of(event, pair, at_ns if ours else candidate.at_host_ns)
            begun_s = time.perf_counter()
            confirmed = self._confirmer.confirm(candidate, looks)
            self.confirm_ms.append(1e3 * (time.perf_counter() - begun_s))
            if Rules().keeps(confirmed):
                last_ns = candidate.at_host_ns
                self.kept.append((event, confirmed.verdict))
            elif ours:
                self.missed.append(confirmed.said)

    def _heard(self, sound: SoundArray, start_ns: int) -> list[Candidate]:
        found: list[Candidate] = []
        begun_s = time.perf_counter()
        for first in range(0, len(sound), _BLOCK):
            at_ns = start_ns + first * NS_PER_S // RATE_HZ
            found += self._listener.hear(sound[first : first + _BLOCK], RATE_HZ, at_ns)
        self.block_us.append(1e6 * (time.perf_counter() - begun_s) * _BLOCK / len(sound))
        return found


def for_settings() -> mat.Choice:
    """On which settings may be chosen; the bars are never taken from it."""
    return mat.Choice(
        stations=filmed_mats.FOR_SETTINGS,
        first_scene=0,
        struck_each=25,
        other_each=5,
        seed=11,
        rooms=real_sounds.FOR_SETTINGS,
        sounds=real_sounds.FOR_SETTINGS,
    )


def for_bars() -> mat.Choice:
    """On which nothing was chosen: other bays, people, balls, rooms and recordings."""
    heard = real_sounds.FOR_SETTINGS
    return mat.Choice(
        stations=filmed_mats.FOR_BENCHES,
        first_scene=20_000,
        struck_each=25,
        other_each=5,
        seed=20_267,
        rooms=real_sounds.FOR_BENCHES,
        sounds=tuple(name for name in real_sounds.all_names() if name not in heard),
    )


def filmed_for(choice: mat.Choice) -> Pairs:
    """Both views of each scene, by kinds."""
    wanted = mat.scenes(choice)
    pairs: Pairs = {kind: [] for kind in Kind}
    for (kind, _, _), pair in zip(wanted, filmed_mats.filmed(wanted), strict=True):
        pairs[kind].append(pair)
    return pairs


def run() -> BenchReport:
    """One run over all events, shuffled."""
    return measured(for_bars())


def measured(choice: mat.Choice) -> BenchReport:
    """One run over all events of a choice, shuffled."""
    pairs = filmed_for(choice)
    events = mat.events(choice, {kind: len(each) for kind, each in pairs.items()})
    sounds = mat.Sounds(choice)
    station = Run(pairs)
    for number, event in enumerate(events):
        sound, at_s = sounds.of(event)
        station.take(event, sound, at_s, (1 + number) * _SLOT_NS)
    return report(station, events, made_of(choice, pairs))


def made_of(choice: mat.Choice, pairs: Pairs) -> dict[str, Detail]:
    """What the run is made of, for whoever reads its figures."""
    low, high = mat.SNR_DB
    levels = ", ".join(f"{level:+.0f}" for level in mat.LEVELS_DB)
    return {
        "seed": choice.seed,
        "strikes": f"invented, {low:.0f}-{high:.0f} dB (2-8 kHz, 10 ms after over 20 ms before) "
        "in real recordings, each of another room, club and net",
        "neighbours": "the like, as loud as ours",
        "other_sounds": f"cut out of {len(choice.sounds)} recordings of the Debian packages "
        f"{real_sounds.ALSA.ask} and {real_sounds.SONIC.ask}, their peaks {levels} dB by turns "
        "over a strike's, in a quiet room",
        "rooms": list(choice.rooms),
        "scenes": {str(kind): len(each) for kind, each in pairs.items()},
        "pictures": "rendered, 640x360 at 60 a second from two cameras; each time with other "
        "noise, light, coding and side, 0-45 ms late",
        "settings_chosen_on": "what is seen is weighed by 1860 scenes in other bays with other "
        "golfers and balls; how early a ball may go, how sharp a loud burst is and how much club "
        "some view must show were corrected after runs on other scenes in these bays with these "
        "recordings",
    }


def report(
    station: Run, events: Sequence[mat.Event], made: dict[str, Detail] | None = None
) -> BenchReport:
    """What was kept of what."""
    ours = {e.place for e, _ in station.kept if e.heard is mat.Heard.OURS}
    wrong = [(e, v) for e, v in station.kept if e.heard is not mat.Heard.OURS]
    false = [e for e in events if e.heard is not mat.Heard.OURS]
    bars = (
        Bar(name="true_kept_of_200", value=len(ours), unit="balls", op=">=", bar=199),
        Bar(name="false_kept", value=len(wrong), unit="sounds", op="<=", bar=0),
    )
    heard = Counter(event.heard for event in station.heard)
    details: dict[str, Detail] = {
        "true": mat.TRUE,
        "false": len(false),
        "false_transients": sum(e.heard is mat.Heard.TRANSIENT for e in false),
        "false_by_scene": dict(sorted(Counter(str(e.shown) for e in false).items())),
        "heard_without_the_picture": {str(kind): count for kind, count in heard.items()},
        "true_heard": heard[mat.Heard.OURS],
        "true_not_confirmed": list(station.missed),
        "kept_unclear": sum(v is Verdict.UNCLEAR for _, v in station.kept),
        "wrongly_kept": [f"{e.heard}, {e.shown}, scene {e.scene}: {v}" for e, v in wrong],
        "confirm_ms_p95": round(float(np.quantile(station.confirm_ms, 0.95)), 1),
        "listening_us_for_10_ms": round(float(np.median(station.block_us)), 1),
        "made_of": made or {},
    }
    return BenchReport(bench="trigger", bars=bars, details=details)
