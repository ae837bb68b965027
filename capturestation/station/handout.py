"""The short clip that the student takes home.

Owns making it: decode, paint and encode overlap, in threads that end with the job. Refuses to
compare unlike swings and to replace a file unasked. Stopped or failed, it leaves nothing behind.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import ExitStack
from dataclasses import dataclass, field
from fractions import Fraction
from functools import partial
from pathlib import Path

from capturestation.compare.pairing import refuse_unless_comparable
from capturestation.drawing.clip_painter import ClipPainter, ClipState, Patch
from capturestation.drawing.grid import Side
from capturestation.drawing.layout import Layout, field_name, layout_of
from capturestation.drawing.placing import Placement
from capturestation.drawing.rect import Rect
from capturestation.errors import ComparisonRefusedError, NotFoundError
from capturestation.media.canvas import Canvas, Cut
from capturestation.media.encode import ClipWriter, refuse_taken
from capturestation.media.frames import FrameReader
from capturestation.media.overlay import Overlay
from capturestation.records import FrameArray, IntArray, Part, View, Watch
from capturestation.station.clip_extras import Page, drawn_over, note_at_end
from capturestation.station.clip_plan import ClipPlan, plan_clip, why_missing
from capturestation.station.clip_reading import Reading, laid_track
from capturestation.station.clip_request import ClipRequest, ClipSide
from capturestation.station.clip_sound import ClipSound, clip_sound
from capturestation.station.crew import Belt, Crew
from capturestation.station.framing import Framing, frame_swings

_ROOM = 8
# Frames that may wait between two steps: enough to even out key frames, few enough for memory.
_SCAN_SHARE = 0.15
# Of the whole job.

__all__ = ["ClipReport", "ClipRequest", "ClipSide", "make_clip", "open_readers"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClipReport:
    """What was made.

    Args:
        path: The clip.
        layout: Where everything stands in it.
        placements: How each field's pictures are cut and placed.
        frames: How many, with those of the page at its end.
        duration_s: How long it plays.
        sources: For each field the recording's frame in each frame of the clip, shape (n,); the
            page at its end has none.
        over: Likewise the earlier swing's frame that is laid over today's, by view.
        said: What the coach should know, a sentence each.
    """

    path: Path
    layout: Layout
    placements: Mapping[str, Placement]
    frames: int
    duration_s: Fraction
    sources: Mapping[str, IntArray]
    over: Mapping[View, IntArray]
    said: tuple[str, ...]


def make_clip(
    request: ClipRequest,
    out: Path,
    *,
    watch: Watch,
    overwrite: bool = False,
    framing: Framing | None = None,
) -> ClipReport:
    """Make a clip.

    Args:
        request: What it shows.
        out: The file, MP4.
        watch: Is told how far it is, and may stop it.
        overwrite: Whether a file there may be replaced.
        framing: What has to be seen of each picture, where it was looked for already.

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
    if not overwrite:
        refuse_taken(out)
    with ExitStack() as stack:
        readers = open_readers(request, stack)
        scanned = 0.0 if framing else _SCAN_SHARE
        framing = framing or frame_swings(request, readers, Part(watch, 0.0, scanned))
        layout = layout_of(
            request.layout,
            request.views,
            short_side_px=request.short_side_px,
            pictures=framing.pictures,
            names_both=bool(request.over),
        )
        plan = plan_clip(request, layout, readers, _open_over(request, layout, readers, stack))
        sound = clip_sound(request, plan.script) if request.sound else None
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
        job = _job(request, plan, framing, writer, sound)
        job.run(Part(watch, scanned, 1.0))
    said = (*plan.said, *_cuts(layout, framing, job.places), *([sound.said] if sound else []))
    return _report(out, job, said)


def open_readers(request: ClipRequest, stack: ExitStack) -> dict[str, FrameReader]:
    """Open every recording that is shown, by the name of the field that is its own.

    Raises:
        NotFoundError: If no field of the layout has a picture.
        NotReadableError: If a recording can't be read.
    """
    readers = {
        field_name(side, view): stack.enter_context(
            FrameReader(request.side(side).media[view], cache_mb=16)
        )
        for side, view in request.cells
        if not why_missing(request.side(side), view)
    }
    if not readers:
        raise NotFoundError(
            f"Swing {request.now.swing.id} has no placed recording to show.",
            try_next="Choose another view, or place its recordings on the clock first.",
            subject=request.now.swing.id,
        )
    return readers


def _open_over(
    request: ClipRequest, layout: Layout, readers: Mapping[str, FrameReader], stack: ExitStack
) -> dict[View, FrameReader]:
    """What is laid over today's pictures; opened once more where it has a field too.

    Two threads that ask one reader for frames far apart would have it decode them twice.
    """
    own = {field.name for field in layout.fields}
    over = {}
    for view in request.over:
        name = field_name(Side.THEN, view)
        if name in readers and name in own:
            over[view] = stack.enter_context(FrameReader(readers[name].path, cache_mb=16))
        elif name in readers:
            over[view] = readers[name]
    return over


def _check(request: ClipRequest) -> None:
    if any(side is Side.THEN for side, _ in request.cells):
        if request.then is None:
            raise ComparisonRefusedError(
                f'The layout "{request.layout}" shows an earlier swing and none was chosen.',
                try_next='Choose one, or the layout "both-angles".',
                subject=str(request.layout),
            )
        refuse_unless_comparable(request.now.swing, request.then.swing)


@dataclass(slots=True, kw_only=True)
class _Job:
    """Decode, compose, encode: readers fill belts, this thread composes, a writer empties a belt.

    Pictures stay in the form that is encoded; only what is painted is converted, when it changes.
    """

    plan: ClipPlan
    painter: ClipPainter
    places: Mapping[str, Placement]
    readings: Mapping[str, Reading]
    writer: ClipWriter
    sound: ClipSound | None
    page: Page | None
    _canvas: Canvas = field(init=False)
    _put: dict[str, FrameArray] = field(default_factory=dict, init=False)
    _painted: dict[Rect, tuple[Patch, FrameArray]] = field(default_factory=dict, init=False)
    _whole: FrameArray | None = field(default=None, init=False)

    def __post_init__(self) -> None:
        self._canvas = Canvas(self.painter.base)

    def run(self, watch: Watch) -> None:
        count = len(self.plan.script)
        watch.report(0.0, "making the clip")
        with Crew("clip") as crew:
            pictures: dict[str, Belt[FrameArray]] = {}
            for name, reading in self.readings.items():
                pictures[name] = crew.belt(_ROOM)
                crew.start(f"read {name}", partial(reading.run, pictures[name]))
            wholes: Belt[FrameArray] = crew.belt(_ROOM)
            crew.start("write", lambda: self._write(wholes))
            for frame in range(count):
                wholes.put(self._compose(frame, {n: belt.get() for n, belt in pictures.items()}))
                watch.report((frame + 1) / count, "making the clip")
            if self.page is not None:
                whole = self._canvas.planar(self.page.pixels)
                for _ in range(self.page.frames):
                    wholes.put(whole)

    def _compose(self, frame: int, pictures: Mapping[str, FrameArray]) -> FrameArray:
        """The frame's picture, planar; the one before, if nothing changed: much stands still."""
        plan = self.plan
        state = ClipState(
            now_ns=int(plan.script.now_ns[frame]),
            then_ns=None if plan.then_ns is None else int(plan.then_ns[frame]),
            held=plan.script.held_at(frame),
            notes={field.name: plan.note(field, frame) for field in plan.layout.fields},
        )
        targets = {name: place.target for name, place in self.places.items()}
        patches = self.painter.patches(targets, state)
        if self._painted.keys() - {patch.rect for patch in patches}:
            # A remark is gone from a picture that may still be the same.
            self._painted.clear()
            self._put.clear()
        changed = self._put_pictures(pictures)
        for patch in patches:
            changed |= self._put_patch(patch, again=changed)
        if self._whole is None or changed:
            self._whole = self._canvas.picture()
        return self._whole

    def _put_pictures(self, pictures: Mapping[str, FrameArray]) -> bool:
        changed = False
        for name, picture in pictures.items():
            if self._put.get(name) is not picture:
                target = self.places[name].target
                self._canvas.put(target.left, target.top, picture)
                self._put[name] = picture
                changed = True
        return changed

    def _put_patch(self, patch: Patch, *, again: bool) -> bool:
        """Put something painted; again, where a new picture may have covered it."""
        kept = self._painted.get(patch.rect)
        is_new = kept is None or kept[0] is not patch
        if kept is None or is_new:
            kept = self._painted[patch.rect] = patch, self._canvas.planar(patch.pixels)
        if is_new or again:
            self._canvas.put(patch.rect.left, patch.rect.top, kept[1])
        return is_new

    def _write(self, wholes: Belt[FrameArray]) -> None:
        for frame in range(len(self.plan.script)):
            self.writer.write_planar(wholes.get())
            if self.sound is not None:
                self.writer.write_sound(self.sound.of_frame(frame, self.plan.script.rate_hz))
        for _ in range(self.page.frames if self.page else 0):
            self.writer.write_planar(wholes.get())


def _job(
    request: ClipRequest,
    plan: ClipPlan,
    framing: Framing,
    writer: ClipWriter,
    sound: ClipSound | None,
) -> _Job:
    """Everything painted before the first picture is decoded."""
    layout = plan.layout
    painter = ClipPainter(layout, plan.labels, boxes=framing.boxes, keep_width=request.keep_width)
    sizes = {name: track.reader.size_px for name, track in plan.tracks.items()}
    places = {name: painter.placement(name, *size) for name, size in sizes.items()}
    return _Job(
        plan=plan,
        painter=painter,
        places=places,
        readings=_readings(request, plan, places, drawn_over(request, layout, places, sizes)),
        writer=writer,
        sound=sound,
        page=note_at_end(request, layout),
    )


def _readings(
    request: ClipRequest,
    plan: ClipPlan,
    places: Mapping[str, Placement],
    drawn: Mapping[str, Overlay],
) -> dict[str, Reading]:
    found = {}
    for spot in plan.layout.fields:
        track = plan.tracks.get(spot.name)
        if track is None:
            continue
        place, laid = places[spot.name], None
        if spot.side is Side.NOW and spot.view in plan.over:
            laid = laid_track(plan.over[spot.view], request.over[spot.view], place)
        found[spot.name] = Reading(
            track=track, cut=_cut(place), laid=laid, drawn=drawn.get(spot.name)
        )
    return found


def _cut(place: Placement) -> Cut:
    source, target = place.source, place.target
    return Cut(
        left=source.left,
        top=source.top,
        width=source.width,
        height=source.height,
        to_width=target.width,
        to_height=target.height,
    )


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


def _report(out: Path, job: _Job, said: tuple[str, ...]) -> ClipReport:
    plan = job.plan
    frames = len(plan.script) + (job.page.frames if job.page else 0)
    return ClipReport(
        path=out,
        layout=plan.layout,
        placements=dict(job.places),
        frames=frames,
        duration_s=frames / plan.script.rate_hz,
        sources={name: track.ordinals for name, track in plan.tracks.items()},
        over={view: track.ordinals for view, track in plan.over.items()},
        said=said,
    )
