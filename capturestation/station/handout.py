"""The short clip that the student takes home.

Owns making it: decode, paint and encode overlap, in threads that end with the job. Refuses to
compare unlike swings and to replace a file unasked. Stopped or failed, it leaves nothing behind.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import ExitStack
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

from capturestation.compare.pairing import refuse_unless_comparable
from capturestation.drawing.clip_painter import ClipPainter, ClipState, Placed
from capturestation.drawing.grid import Side
from capturestation.drawing.layout import Layout, cells_of, field_name, layout_of
from capturestation.drawing.placing import Placement
from capturestation.errors import ComparisonRefusedError, NotFoundError
from capturestation.media.encode import ClipWriter
from capturestation.media.frames import FrameReader
from capturestation.records import FrameArray, IntArray, Part, Watch
from capturestation.station.clip_plan import ClipPlan, Track, plan_clip, why_missing
from capturestation.station.clip_request import ClipRequest, ClipSide
from capturestation.station.clip_sound import ClipSound, clip_sound
from capturestation.station.crew import Belt, Crew
from capturestation.station.framing import Framing, frame_swings

_ROOM = 4
# Frames that may wait between two steps: enough to even out key frames, few enough for memory.
_SCAN_SHARE = 0.15
# Of the whole job.

__all__ = ["ClipReport", "ClipRequest", "ClipSide", "make_clip"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClipReport:
    """What was made.

    Args:
        path: The clip.
        layout: Where everything stands in it.
        placements: How each field's pictures are cut and placed.
        frames: How many.
        duration_s: How long it plays.
        sources: For each field the recording's frame in each frame of the clip, shape (n,).
        said: What the coach should know, a sentence each.
    """

    path: Path
    layout: Layout
    placements: Mapping[str, Placement]
    frames: int
    duration_s: Fraction
    sources: Mapping[str, IntArray]
    said: tuple[str, ...]


def make_clip(
    request: ClipRequest, out: Path, *, watch: Watch, overwrite: bool = False
) -> ClipReport:
    """Make a clip.

    Args:
        request: What it shows.
        out: The file, MP4.
        watch: Is told how far it is, and may stop it.
        overwrite: Whether a file there may be replaced.

    Returns:
        What was made, with the frame of every recording that every frame shows.

    Raises:
        ComparisonRefusedError: If the two swings are unlike, or the layout needs an earlier one.
        NotFoundError: If no field of the layout has a picture.
        NoSoundError: If a sound is asked for and there is none.
        NotReadableError: If a recording can't be read.
        OutputError: If the file is there already or can't be written.
        CancelledError: If it was stopped.
        RuntimeError: If `ensure_app` was not called.
    """
    _check(request)
    with ExitStack() as stack:
        readers = _readers(request, stack)
        framing = frame_swings(request, readers, Part(watch, 0.0, _SCAN_SHARE))
        layout = layout_of(
            request.layout,
            request.views,
            short_side_px=request.short_side_px,
            pictures=framing.pictures,
        )
        plan = plan_clip(request, layout, readers)
        sound = clip_sound(request, plan.script) if request.sound else None
        painter = ClipPainter(
            layout, plan.labels, boxes=framing.boxes, keep_width=request.keep_width
        )
        writer = stack.enter_context(
            ClipWriter(
                out,
                width=layout.width_px,
                height=layout.height_px,
                rate_hz=request.pace.rate_hz,
                sound_rate_hz=sound.rate_hz if sound else None,
                overwrite=overwrite,
            )
        )
        job = _Job(plan=plan, painter=painter, writer=writer, sound=sound)
        placements = job.run(Part(watch, _SCAN_SHARE, 1.0))
    said = (*plan.said, *_cuts(layout, framing, placements), *([sound.said] if sound else []))
    return _report(out, plan, placements, said)


def _readers(request: ClipRequest, stack: ExitStack) -> dict[str, FrameReader]:
    """Open every recording that is shown, by the field's name."""
    readers = {
        field_name(side, view): stack.enter_context(
            FrameReader(request.side(side).media[view], cache_mb=16)
        )
        for side, view in cells_of(request.layout, request.views)
        if not why_missing(request.side(side), view)
    }
    if not readers:
        raise NotFoundError(
            f"Swing {request.now.swing.id} has no placed recording to show.",
            try_next="Choose another view, or place its recordings on the clock first.",
            subject=request.now.swing.id,
        )
    return readers


def _check(request: ClipRequest) -> None:
    if any(side is Side.THEN for side, _ in cells_of(request.layout, request.views)):
        if request.then is None:
            raise ComparisonRefusedError(
                f'The layout "{request.layout}" shows an earlier swing and none was chosen.',
                try_next='Choose one, or the layout "both-angles".',
                subject=str(request.layout),
            )
        refuse_unless_comparable(request.now.swing, request.then.swing)


@dataclass(slots=True, kw_only=True)
class _Job:
    """Decode, paint, encode: readers fill belts, this thread paints, a writer empties a belt."""

    plan: ClipPlan
    painter: ClipPainter
    writer: ClipWriter
    sound: ClipSound | None
    placements: dict[str, Placement] = field(default_factory=dict)
    _last: tuple[ClipState, Mapping[str, Placed], FrameArray] | None = None

    def run(self, watch: Watch) -> Mapping[str, Placement]:
        count = len(self.plan.script)
        watch.report(0.0, "making the clip")
        with Crew("clip") as crew:
            pictures: dict[str, Belt[Placed]] = {}
            for name, track in self.plan.tracks.items():
                pictures[name] = crew.belt(_ROOM)
                crew.start(f"read {name}", _Reading(self.painter, name, track, pictures[name]).run)
            canvases: Belt[FrameArray] = crew.belt(_ROOM)
            crew.start("write", lambda: self._write(canvases))
            for frame in range(count):
                canvases.put(self._paint(frame, pictures))
                watch.report((frame + 1) / count, "making the clip")
        return self.placements

    def _paint(self, frame: int, belts: Mapping[str, Belt[Placed]]) -> FrameArray:
        pictures = {name: belt.get() for name, belt in belts.items()}
        self.placements |= {name: placed.placement for name, placed in pictures.items()}
        plan = self.plan
        notes = {name: track.note(frame) for name, track in plan.tracks.items()}
        state = ClipState(
            now_ns=int(plan.script.now_ns[frame]),
            then_ns=None if plan.then_ns is None else int(plan.then_ns[frame]),
            held=plan.script.held_at(frame),
            notes=notes,
        )
        # Much of a clip stands still; nobody writes on a canvas that was handed on.
        if self._last is None or self._last[:2] != (state, pictures):
            self._last = state, pictures, self.painter.paint(pictures, state)
        return self._last[2]

    def _write(self, canvases: Belt[FrameArray]) -> None:
        for frame in range(len(self.plan.script)):
            self.writer.write_rgb(canvases.get())
            if self.sound is not None:
                self.writer.write_sound(self.sound.of_frame(frame, self.plan.script.rate_hz))


@dataclass(frozen=True, slots=True)
class _Reading:
    """One recording's pictures in the order of the clip, already cut and scaled."""

    painter: ClipPainter
    name: str
    track: Track
    belt: Belt[Placed]

    def run(self) -> None:
        last, placed = -1, None
        for ordinal in self.track.ordinals.tolist():
            if placed is None or ordinal != last:
                placed = self.painter.place(self.name, self.track.reader.frame_rgb(ordinal))
                last = ordinal
            self.belt.put(placed)


def _cuts(layout: Layout, framing: Framing, placements: Mapping[str, Placement]) -> list[str]:
    """What of the pictures is not shown, a sentence for each view, or each swing if they differ."""
    said: dict[str, None] = {}
    for field_ in layout.fields:
        placed = placements.get(field_.name)
        if placed is None or not placed.is_cut:
            continue
        of = f"{placed.width_share:.0%} of the picture's width"
        if placed.height_share < 1.0:
            of += f" and {placed.height_share:.0%} of its height"
        is_found = field_.name in framing.boxes
        why = "cut to where the swing moves, shows" if is_found else "cut at the sides, shows"
        said[f"{field_.view}: {why} {of}."] = None
    return list(said)


def _report(
    out: Path, plan: ClipPlan, placements: Mapping[str, Placement], said: tuple[str, ...]
) -> ClipReport:
    return ClipReport(
        path=out,
        layout=plan.layout,
        placements=dict(placements),
        frames=len(plan.script),
        duration_s=len(plan.script) / plan.script.rate_hz,
        sources={name: track.ordinals for name, track in plan.tracks.items()},
        said=said,
    )
