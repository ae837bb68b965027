"""What a station records from, how much it keeps, and what it says about each kept ball.

Owns the settings of cameras and microphone and the note that lies beside a kept swing. Host times
are `time.perf_counter_ns` of the computer that recorded.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from fractions import Fraction

from capturestation.records.arrays import FrameArray, IntArray
from capturestation.records.swings import MOST_RECORDINGS
from capturestation.records.times import NS_PER_S
from capturestation.records.views import View

QUARTER_TURNS = (0, 90, 180, 270)


class SourceKind(StrEnum):
    """How a camera is reached."""

    DEVICE = "device"
    STREAM = "stream"
    REPLAY = "replay"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """A stretch of time, in seconds from when a replay begins."""

    at_s: float
    for_s: float

    def holds(self, at_s: float) -> bool:
        """Whether a time lies inside.

        Example:
            >>> Spell(at_s=2.0, for_s=1.0).holds(2.5)
            True
        """
        return self.at_s <= at_s < self.at_s + self.for_s


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplayPiece:
    """One file of a replay, and when its first frame is due after the beginning."""

    file: str
    at_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Replay:
    """Files played as a camera would send them, with the faults that real ones have.

    Args:
        pieces: Files in the order of their times; between them the next one's first frame stands.
        begins_host_ns: When the replay begins; None is when it is first opened. Two cameras of one
            bay are given the same.
        ends_after_s: When it is over, as if unplugged for good; None goes on for ever.
        jitter_ms: Mean of a random lateness of each packet.
        delay_ms: Lateness of all.
        loss: Share of packets that never come.
        drift_ppm: How much faster the camera's clock runs than this computer's.
        stalls: When nothing comes; what was held comes afterwards, all at once.
        unplugged: When it is not there at all; what it would have sent is lost.
        seed: Decides every random choice.
    """

    pieces: tuple[ReplayPiece, ...]
    begins_host_ns: int | None = None
    ends_after_s: float | None = None
    jitter_ms: float = 0.0
    delay_ms: float = 0.0
    loss: float = 0.0
    drift_ppm: float = 0.0
    stalls: tuple[Spell, ...] = ()
    unplugged: tuple[Spell, ...] = ()
    seed: int = 0

    def __post_init__(self) -> None:
        times = [piece.at_s for piece in self.pieces]
        if not times or times != sorted(times) or times[0] < 0:
            msg = f"a replay has one or more files in the order of their times from 0, got {times}"
            raise ValueError(msg)
        if not 0.0 <= self.loss < 1.0:
            msg = f"loss is a share from 0 to below 1, got {self.loss}"
            raise ValueError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Locks:
    """What of a camera is held still while it records.

    Args:
        wanted: Whether anything is.
        focus: In the camera's own steps; None holds it where it is.
        exposure_ms: How long the shutter is open; None holds it where it is.
        white_balance_k: Colour of the light; None holds it where it is.
    """

    wanted: bool = True
    focus: int | None = None
    exposure_ms: float | None = None
    white_balance_k: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceSetting:
    """One camera of the station.

    Args:
        view: Where it stands.
        kind: How it is reached.
        address: Name of the device as the system says it, or the stream's URL; unused by a replay.
        camera: The camera's name; its delay and its lens are kept under it.
        lens: The lens or zoom it is set to, in the coach's words.
        width_px: Asked width of the stored picture; None takes what comes.
        height_px: Asked height of the stored picture.
        rate_hz: Asked frames a second.
        form: Asked coding: mjpeg, h264, yuyv422 ...; empty takes what comes.
        rotation_deg: Clockwise turn that shows its picture upright.
        has_sound: Whether the sound it sends, if any, is wanted.
        microphone_m: From ball to its microphone; None where nobody measured it.
        locks: What is held still.
        replay: The files, for a replay.
    """

    view: View
    kind: SourceKind
    address: str = ""
    camera: str = ""
    lens: str = ""
    width_px: int | None = None
    height_px: int | None = None
    rate_hz: Fraction | None = None
    form: str = ""
    rotation_deg: int = 0
    has_sound: bool = True
    microphone_m: float | None = None
    locks: Locks = Locks()
    replay: Replay | None = None

    def __post_init__(self) -> None:
        if (self.kind is SourceKind.REPLAY) != (self.replay is not None):
            msg = f"{self.view}: a replay, and only a replay, names files"
            raise ValueError(msg)
        if self.rotation_deg not in QUARTER_TURNS:
            msg = f"{self.view}: a camera is turned by quarters, got {self.rotation_deg}"
            raise ValueError(msg)
        if self.rate_hz is not None and self.rate_hz <= 0:
            msg = f"{self.view}: a rate is above 0, got {self.rate_hz}"
            raise ValueError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class MicrophoneSetting:
    """The station's own microphone.

    Args:
        name: As the system says it; empty is the usual one.
        rate_hz: Samples a second.
        distance_m: From the ball; None where nobody measured it.
    """

    name: str = ""
    rate_hz: int = 48_000
    distance_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Windows:
    """How much of each ball is kept.

    Args:
        before_ns: From this long before impact.
        after_ns: Until this long after.
        sound_ns: Sound, which may be talk, is kept only this long before and after impact.
        keeps_talk: The coach narrates: sound is kept as long as the picture.
    """

    before_ns: int = 4 * NS_PER_S
    after_ns: int = 3 * NS_PER_S
    sound_ns: int = NS_PER_S
    keeps_talk: bool = False

    def __post_init__(self) -> None:
        longest_ns = 60 * NS_PER_S
        if not (0 < self.before_ns <= longest_ns and 0 < self.after_ns <= longest_ns):
            msg = f"a ball is kept for up to a minute each way, got {self}"
            raise ValueError(msg)
        if self.sound_ns < 0:
            msg = f"sound is kept for 0 s or more each way, got {self.sound_ns} ns"
            raise ValueError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptureSetting:
    """All that the recording process is told.

    Args:
        inbox: Folder that finished swings are left in.
        sources: One camera for each view.
        microphone: The station's own; None listens to the first camera that sends sound.
        windows: How much is kept.
        ring_mb: Memory for each camera's latest packets.
        preview_px: Longer side of the small live pictures; 0 sends none.
        preview_hz: How many of them a second.
        as_of: What the clock on the wall shows as it begins, where replays are of another day.
    """

    inbox: str
    sources: tuple[SourceSetting, ...]
    microphone: MicrophoneSetting | None = None
    windows: Windows = Windows()
    ring_mb: int = 400
    preview_px: int = 320
    preview_hz: int = 10
    as_of: datetime | None = None

    def __post_init__(self) -> None:
        views = [source.view for source in self.sources]
        if not 1 <= len(views) <= MOST_RECORDINGS or len(set(views)) != len(views):
            msg = f"one to three cameras of different views, got {views}"
            raise ValueError(msg)
        if self.ring_mb < 1 or self.preview_px < 0 or not 1 <= self.preview_hz <= 30:
            msg = f"memory from 1 MB, previews from 0 px, 1 to 30 a second, got {self}"
            raise ValueError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Got:
    """What a source really gives.

    Args:
        codec: Short name of its coding as stored.
        width_px: Width of the stored picture.
        height_px: Height of the stored picture.
        rate_hz: Frames a second as it claims; None where it doesn't say.
        sound_rate_hz: Samples a second of its sound; None without.
        own_clock: Whether its stamps are the camera's; else arrival is all that is known.
        said: Where this is not what was asked, a sentence each.
        loose: What could not be held still: focus, exposure ...
        loose_said: What that means, in a sentence; empty where all is held.
    """

    codec: str
    width_px: int
    height_px: int
    rate_hz: Fraction | None = None
    sound_rate_hz: int | None = None
    own_clock: bool = True
    said: tuple[str, ...] = ()
    loose: tuple[str, ...] = ()
    loose_said: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Look:
    """One view round a candidate.

    Args:
        view: Which.
        host_ns: When each frame was, (n,), rising, host clock; a camera's own delay is in it.
        greys: The frames, (n, H, W) uint8, upright.
    """

    view: View
    host_ns: IntArray
    greys: FrameArray

    def __post_init__(self) -> None:
        if self.greys.ndim != 3 or self.host_ns.shape != self.greys.shape[:1]:
            msg = f"one time for each (H, W) frame, got {self.host_ns.shape} {self.greys.shape}"
            raise ValueError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A sound that may be a strike.

    Args:
        at_host_ns: First contact as heard at the microphone.
        u_ns: Standard uncertainty of it.
        snr_db: How far it stands out of the room, 2-8 kHz.
        sharpness: Share of its energy that comes at once, 0..1.
        peak: Largest absolute sample, 0..1.
    """

    at_host_ns: int
    u_ns: int
    snr_db: float
    sharpness: float
    peak: float


class Verdict(StrEnum):
    """What the picture says of a candidate."""

    LEFT = "the ball left"
    STAYED = "the ball did not leave"
    UNCLEAR = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class Confirmed:
    """A verdict and the reason for it."""

    verdict: Verdict
    said: str


class Trigger(StrEnum):
    """What had a ball kept."""

    SOUND = "sound"
    KEY = "key"
    MOTION = "motion"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockFit:
    """The line from a device's time to the host's.

    Args:
        at_device_ns: Middle of what was fitted, device clock.
        host_minus_device_ns: There.
        drift_ppm: Host seconds for each device second, less 1, in millionths.
        late_p95_ns: 95 of 100 packets come at most so much above the line.
        span_ns: From the first to the last, device clock.
        points: How many.
    """

    at_device_ns: int
    host_minus_device_ns: int
    drift_ppm: float
    late_p95_ns: int
    span_ns: int
    points: int

    def host_ns(self, device_ns: int) -> int:
        """When a stamp was, by the host's clock, had it come as quickly as the quickest."""
        away = device_ns - self.at_device_ns
        return device_ns + self.host_minus_device_ns + round(away * self.drift_ppm / 1e6)

    def device_ns(self, host_ns: int) -> int:
        """The stamp of a host time; the inverse of `host_ns` to a nanosecond."""
        guess = host_ns - self.host_minus_device_ns
        away = (guess - self.at_device_ns) / (1 + self.drift_ppm / 1e6)
        return self.at_device_ns + round(away)


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceNote:
    """What one camera's recording is, besides its file.

    Args:
        view: Which.
        clock: Its clock against the host's.
        own_clock: Whether stamps are the camera's; else they are arrivals.
        time_base: Unit of `first_pts` and of the stamps' file.
        first_pts: The source's stamp of the packet that became stamp 0 of the file.
        impact_media_ns: Impact on the file's clock, by the host's clock alone.
        nearest_frame_ns: Of the frames, the one nearest to impact less impact.
        missing: Frames that by their stamps should be there and aren't.
        stamps: Name of the file with each packet's source stamp and arrival.
        said: What a coach should know, a sentence each.
        microphone_m: From ball to the microphone whose sound is in the file; None if not measured.
        loose: What of the camera could change by itself: focus, exposure ...
        lens: The lens or zoom it was set to.
        rotation_deg: Clockwise turn that shows its picture upright.
    """

    view: View
    clock: ClockFit
    own_clock: bool
    time_base: Fraction
    first_pts: int
    impact_media_ns: int
    nearest_frame_ns: int
    missing: int
    stamps: str
    said: tuple[str, ...] = ()
    microphone_m: float | None = None
    loose: tuple[str, ...] = ()
    lens: str = ""
    rotation_deg: int = 0


class SourceState(StrEnum):
    """Whether a source is there."""

    UP = "up"
    DOWN = "down"


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceHealth:
    """How one camera is doing.

    Args:
        view: Which.
        state: Whether it is there.
        rate_hz: Frames a second over the last seconds, counted.
        asked_hz: What was asked, or what it claims.
        missing: Frames missing by stamp since it came up.
        late_p95_ms: Lateness of 95 of 100 packets against the quickest.
        drift_ppm: Of its clock against this computer's.
        ring_s: Seconds that are in memory.
        ring_mb: Their size.
        ring_full: Whether memory holds less than a ball needs.
    """

    view: View
    state: SourceState
    rate_hz: float
    asked_hz: float | None
    missing: int
    late_p95_ms: float
    drift_ppm: float
    ring_s: float
    ring_mb: float
    ring_full: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundHealth:
    """How the sound is doing over the last second.

    Args:
        state: Whether any comes.
        peak: Largest absolute sample, 0..1.
        rms_db: Loudness of the room, dB under full scale.
        clipped: Whether it is cut at the top.
        silent: Whether there is nothing in it at all.
    """

    state: SourceState
    peak: float
    rms_db: float
    clipped: bool
    silent: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Health:
    """How the whole station is doing.

    Args:
        at_host_ns: When.
        sources: Each camera.
        phase_ns: Second camera's frame after the first one's, less than half a frame either way;
            None unless two are up.
        sound: The ear; None where none was wanted.
        disk_free_mb: Room on the inbox's disk.
        balls_left: How many more such balls fit; None before the first.
        memory_mb: What this process holds; 0 where the system does not say.
    """

    at_host_ns: int
    sources: tuple[SourceHealth, ...]
    phase_ns: int | None
    sound: SoundHealth | None
    disk_free_mb: int
    balls_left: int | None
    memory_mb: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptureNote:
    """What lies beside `swing.json` as `capture.json`.

    Args:
        ticket: The text that whoever started the recording gave it; it is not looked at.
        trigger: What had it kept.
        impact_host_ns: Impact, host clock.
        u_ns: Standard uncertainty of it.
        candidate: What was heard; None by key or motion.
        confirmed: What the picture said; None by key or motion.
        sources: Each recording.
        health: The station's then; None where a ball was saved after a crash.
        said: What a coach should know, a sentence each.
    """

    ticket: str
    trigger: Trigger
    impact_host_ns: int
    u_ns: int
    candidate: Candidate | None
    confirmed: Confirmed | None
    sources: tuple[SourceNote, ...]
    health: Health | None = None
    said: tuple[str, ...] = field(default=())
