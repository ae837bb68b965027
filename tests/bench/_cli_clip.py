"""The clip as the ffmpeg command would make it: the yardstick of the clip's speed.

It decodes the same stretches of the same files, cuts, scales and places them alike, writes
captions and a running time, and encodes with the same settings. It stays in YUV all the way, which
the product's painter does not.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np

from capturestation.drawing.placing import Placement
from capturestation.records import FrameArray

PAPER = "0xF7F5F0"


@dataclass(frozen=True, kw_only=True)
class Field:
    """One picture: its file, the stretch shown, how it is placed, and what stands over it."""

    path: Path
    start_s: float
    long_s: float
    placement: Placement
    caption: str


def ffmpeg() -> str:
    """The command's path.

    Raises:
        SystemExit: If it is not installed.
    """
    found = shutil.which("ffmpeg")
    if found is None:
        raise SystemExit("The ffmpeg command is needed to compare with: install Debian's ffmpeg.")
    return found


def version() -> str:
    """What the command says it is."""
    told = subprocess.run([ffmpeg(), "-version"], check=True, capture_output=True, text=True)
    return told.stdout.splitlines()[0]


def make(
    fields: Mapping[str, Field], out: Path, *, size: tuple[int, int], slow: Fraction, frames: int
) -> None:
    """Make the clip.

    Args:
        fields: By name.
        out: The file.
        size: Of the canvas.
        slow: 1/8 is eight times slower.
        frames: How many the clip has.
    """
    inputs: list[str] = []
    for field in fields.values():
        inputs += ["-ss", f"{field.start_s:.6f}", "-t", f"{field.long_s:.6f}"]
        inputs += ["-i", str(field.path)]
    graph = _graph(list(fields.values()), size, slow)
    coding = ["-c:v", "libx264", "-preset", "veryfast", "-crf", "20", "-pix_fmt", "yuv420p"]
    ends = ["-frames:v", str(frames), "-an", "-movflags", "+faststart", str(out)]
    quiet = [ffmpeg(), "-v", "error", "-nostdin", "-y"]
    subprocess.run(
        [*quiet, *inputs, "-filter_complex", graph, "-map", "[done]", *coding, *ends], check=True
    )


def _graph(fields: list[Field], size: tuple[int, int], slow: Fraction) -> str:
    parts = [f"color=c={PAPER}:s={size[0]}x{size[1]}:r=30[base0]"]
    for number, field in enumerate(fields):
        source, target = field.placement.source, field.placement.target
        parts.append(
            f"[{number}:v]setpts={slow.denominator}/{slow.numerator}*(PTS-STARTPTS),"
            f"crop={source.width}:{source.height}:{source.left}:{source.top},"
            f"scale={target.width}:{target.height}:flags=bilinear,fps=30[p{number}]"
        )
        parts.append(
            f"[base{number}][p{number}]overlay={target.left}:{target.top}:"
            f"eof_action=repeat[base{number + 1}]"
        )
    words = [
        f"drawtext=text='{field.caption}':x={field.placement.target.left}:"
        f"y={max(0, field.placement.target.top - 34)}:fontsize=28:fontcolor=black"
        for field in fields
    ]
    words.append(f"drawtext=text='%{{pts}} s':x=40:y={size[1] - 60}:fontsize=40:fontcolor=black")
    words.append(f"drawbox=x=40:y={size[1] - 80}:w={size[0] - 80}:h=6:t=fill:color=gray")
    return ";".join(parts) + f";[base{len(fields)}]{','.join(words)}[done]"


def decoded(path: Path, frame: int, size: tuple[int, int]) -> FrameArray:
    """One frame of a clip as the command shows it, by the clip's own tags, (H, W, 3) RGB."""
    pick = f"select=eq(n\\,{frame}),scale=flags=accurate_rnd+full_chroma_int"
    source = [ffmpeg(), "-v", "error", "-nostdin", "-i", str(path), "-vf", pick]
    raw = subprocess.run(
        [*source, "-frames:v", "1", "-pix_fmt", "rgb24", "-f", "rawvideo", "-"],
        check=True,
        capture_output=True,
    )
    return np.frombuffer(raw.stdout, np.uint8).reshape(size[1], size[0], 3)
