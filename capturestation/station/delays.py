"""What a camera's own earlier swings say of its delay between picture and sound.

The history is a question to the library, never a file of its own: a swing that is deleted or placed
anew changes it by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from capturestation.errors import TimingRefusedError
from capturestation.library import Library
from capturestation.records import Recording, Swing, Sync
from capturestation.timing.delay import KnownDelay, intersect_delays

MOST_SWINGS = 40
"""About one long lesson: a camera that was set up anew is not asked for long."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraDelay:
    """What is known of one camera.

    Args:
        camera: Its name.
        swings: How many of its newest swings were asked.
        known: Its delay; None where they don't say it.
        said: In words for the coach.
    """

    camera: str
    swings: int
    known: KnownDelay | None
    said: str


def known_delay(library: Library, recording: Recording, before: datetime) -> KnownDelay | None:
    """The delay of the camera that made a recording, in the same mode; None where it isn't known.

    Args:
        library: Holds the earlier swings.
        recording: Of the swing to place; a camera without a name has no history.
        before: Only swings struck before this count.
    """
    if not recording.camera:
        return None
    try:
        return intersect_delays(_syncs(library, recording.camera, before, recording))
    except TimingRefusedError:
        # Too few swings, or they disagree: then the picture of each swing decides alone.
        return None


def camera_delays(library: Library) -> tuple[CameraDelay, ...]:
    """What is known of each camera that has a name, by its newest swing's mode."""
    return tuple(_of(library, camera) for camera in library.cameras())


def _of(library: Library, camera: str) -> CameraDelay:
    now = datetime.max.replace(tzinfo=UTC)
    newest = library.swings_of_camera(camera, now, 1)
    like = next(r for r in newest[0].facts.recordings if r.camera == camera)
    syncs = _syncs(library, camera, now, like)
    try:
        known = intersect_delays(syncs)
    except TimingRefusedError as error:
        said = f"{error.what} {error.try_next}"
        return CameraDelay(camera=camera, swings=len(syncs), known=None, said=said)
    later = "after" if known.delay_ns >= 0 else "before"
    said = (
        f"The picture shows contact {abs(known.delay_ns) / 1e6:.1f} ms {later} the sound, "
        f"± {2 * known.u_ns / 1e6:.1f} ms, by {known.strikes} swings."
    )
    return CameraDelay(camera=camera, swings=len(syncs), known=known, said=said)


def _syncs(library: Library, camera: str, before: datetime, like: Recording) -> Sequence[Sync]:
    """The camera's earlier places on the clock, those of the same mode only."""
    found = library.swings_of_camera(camera, before, MOST_SWINGS)
    return [sync for swing in found for sync in _of_swing(swing, camera, like)]


def _of_swing(swing: Swing, camera: str, like: Recording) -> list[Sync]:
    syncs = []
    for recording in swing.facts.recordings:
        sync = swing.sync(recording.view)
        if recording.camera == camera and sync is not None and _same_mode(recording, like):
            syncs.append(sync)
    return syncs


def _same_mode(a: Recording, b: Recording) -> bool:
    """A camera's delay changes with its picture's size and rate."""
    if (a.width_px, a.height_px) != (b.width_px, b.height_px):
        return False
    if a.rate_hz is None or b.rate_hz is None:
        return a.rate_hz == b.rate_hz
    return abs(a.rate_hz - b.rate_hz) <= b.rate_hz / 10
