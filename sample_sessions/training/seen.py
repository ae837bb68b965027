"""What a learner is shown: examples cut from rows of pictures, turned, scaled, lit, and their maps.

Owns augmentation and targets, on the graphics card. Imports torch when called; it is no dependency
of the station.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sample_sessions.training.plan import INPUT_PX, STRIDE
from sample_sessions.training.variety import FRAMES, PICTURE_PX

if TYPE_CHECKING:
    import torch

SPREAD = 0.05
# Added to a picture's own spread, so that an empty one is not blown up; the tracker does the same.
_TURN_RAD, _SHIFT_PX = 0.20, 18.0
_SCALES = (0.80, 1.12)
_SPOT_CELLS, _SHAFT_CELLS, _WAY_CELLS = 1.2, 0.9, 1.6
_HIDDEN_GRIP = 0.5
# How strongly a grip is to be shown that the arms tell although a body hides it.
_SHORTEST_PX = 6.0
# A shaft that points into the lens has no direction in the picture.


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Many rows of pictures on the graphics card; fields as in `pictures.Row`, first axis rows."""

    greys: torch.Tensor
    shaft_px: torch.Tensor
    seen: torch.Tensor
    whole_px: torch.Tensor


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A batch.

    Args:
        pictures: (b, 3, INPUT_PX, INPUT_PX), each example evened by its middle picture.
        shaft_px: (b, spots, 2) in the cut picture.
        seen: (b, spots).
        whole_px: (b,) length of the shaft held square to the view.
    """

    pictures: torch.Tensor
    shaft_px: torch.Tensor
    seen: torch.Tensor
    whole_px: torch.Tensor


def plain_batch(rows: Rows, chosen: torch.Tensor) -> Shown:
    """The middle pictures of rows, cut out straight and as they are."""
    return _cut(rows, chosen, vary=False)


def varied_batch(rows: Rows, chosen: torch.Tensor) -> Shown:
    """Any picture of rows with its neighbours, turned, scaled, mirrored and lit by chance."""
    import torch

    shown = _cut(rows, chosen, vary=True)
    pictures, count = shown.pictures, len(chosen)

    def by(low: float, high: float, *shape: int) -> torch.Tensor:
        return low + (high - low) * torch.rand((count, *shape, 1, 1), device=pictures.device)

    pictures = pictures.clamp(0.0, 1.0) ** torch.exp(by(-0.6, 0.5, 1))
    pictures = pictures * by(0.5, 1.2, 1) + by(-0.05, 0.15, 1)
    # Lamps flicker: neighbours are a little brighter or darker.
    pictures = pictures * by(0.97, 1.03, 3)
    soft = torch.nn.functional.avg_pool2d(pictures, 3, stride=1, padding=1, count_include_pad=False)
    share = by(-1.0, 0.9, 1).clamp(min=0.0)
    pictures = (1.0 - share) * pictures + share * soft
    pictures = pictures + by(-0.01, 0.035, 1).clamp(min=0.0) * torch.randn_like(pictures)
    return Shown(
        pictures=evened(pictures.clamp(0.0, 1.0)),
        shaft_px=shown.shaft_px,
        seen=shown.seen,
        whole_px=shown.whole_px,
    )


def evened(pictures: torch.Tensor) -> torch.Tensor:
    """Mean and spread of the middle picture taken out."""
    middle = pictures[:, 1:2]
    mean = middle.mean(dim=(2, 3), keepdim=True)
    spread = middle.std(dim=(2, 3), keepdim=True, unbiased=False)
    return (pictures - mean) / (spread + SPREAD)


def targets(shown: Shown) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
    """Maps to be learnt.

    Returns:
        Grip, end and shaft (b, 3, h, w), 0..1; the shaft's direction (b, 2, 1, 1); and where it is
        asked for (b, 1, h, w).
    """
    import torch

    side = INPUT_PX // STRIDE
    at = (shown.shaft_px - 0.5 * (STRIDE - 1)) / STRIDE
    line = torch.arange(side, device=at.device, dtype=at.dtype)
    cells = torch.stack(torch.meshgrid(line, line, indexing="xy"), dim=-1).reshape(1, -1, 2)
    grip, end = at[:, :1], at[:, -1:]
    along = end - grip
    long = along.norm(dim=-1, keepdim=True).clamp(min=1e-3)
    share = (((cells - grip) * along).sum(-1, keepdim=True) / long**2).clamp(0.0, 1.0)
    aside = (cells - grip - share * along).norm(dim=-1)
    spots = shown.seen.shape[1]
    place = (share[..., 0] * (spots - 1)).round().long()
    seen = torch.gather(shown.seen, 1, place)

    def bump(far: torch.Tensor, cells_wide: float) -> torch.Tensor:
        return torch.exp(-0.5 * (far / cells_wide) ** 2)

    held = _HIDDEN_GRIP + (1.0 - _HIDDEN_GRIP) * shown.seen[:, :1]
    maps = torch.stack(
        [
            bump((cells - grip).norm(dim=-1), _SPOT_CELLS) * held,
            bump((cells - end).norm(dim=-1), _SPOT_CELLS) * shown.seen[:, -1:],
            bump(aside, _SHAFT_CELLS) * seen,
        ],
        dim=1,
    )
    near_grip = bump((cells - grip).norm(dim=-1), _WAY_CELLS)
    asked = torch.maximum(bump(aside, _WAY_CELLS) * seen, 0.3 * near_grip)
    asked = asked * (long[..., 0] * STRIDE > _SHORTEST_PX)
    shape = (len(at), -1, side, side)
    way = (along / long).reshape(-1, 2, 1, 1)
    return maps.reshape(shape), way, asked.reshape(shape)


def _neighbours(count: int, device: torch.device) -> tuple[torch.Tensor, torch.Tensor]:
    """Which picture of the row, and how far its neighbours are: none, one or two steps."""
    import torch

    middle = torch.randint(1, FRAMES - 1, (count,), device=device)
    step = torch.ones_like(middle)
    odds = torch.rand(count, device=device)
    step[odds < 0.04] = 0
    wide = odds > 0.85
    middle[wide], step[wide] = FRAMES // 2, 2
    return middle, step


def _cut(rows: Rows, chosen: torch.Tensor, *, vary: bool) -> Shown:
    import torch

    device, count = rows.greys.device, len(chosen)
    middle = torch.full((count,), FRAMES // 2, device=device)
    step = torch.ones_like(middle)
    if vary:
        middle, step = _neighbours(count, device)
    three = torch.stack([middle - step, middle, middle + step], dim=1)
    pictures = rows.greys[chosen[:, None], three].float() / 255.0
    matrix, shift, from_px = _placing(count, device, vary=vary)
    line = torch.arange(INPUT_PX, device=device, dtype=torch.float32)
    out = torch.stack(torch.meshgrid(line, line, indexing="xy"), dim=-1).reshape(1, -1, 2)
    back = torch.linalg.inv(matrix)
    source = (out - shift) @ back.transpose(1, 2) + from_px
    grid = ((2.0 * source + 1.0) / PICTURE_PX - 1.0).reshape(count, INPUT_PX, INPUT_PX, 2)
    pictures = torch.nn.functional.grid_sample(
        pictures, grid, mode="bilinear", padding_mode="border", align_corners=False
    )
    spots = (rows.shaft_px[chosen, middle] - from_px) @ matrix.transpose(1, 2) + shift
    inside = ((spots > -0.5) & (spots < INPUT_PX - 0.5)).all(dim=-1)
    scale = torch.linalg.det(matrix).abs().sqrt()
    return Shown(
        pictures=pictures if vary else evened(pictures),
        shaft_px=spots,
        seen=rows.seen[chosen, middle] * inside,
        whole_px=rows.whole_px[chosen, middle] * scale,
    )


def _placing(
    count: int, device: torch.device, *, vary: bool
) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
    """Matrix (b, 2, 2), place it goes to (b, 1, 2) and place it comes from (b, 1, 2)."""
    import torch

    middle = torch.full((count, 1, 2), 0.5 * (INPUT_PX - 1), device=device)
    source = torch.full((count, 1, 2), 0.5 * (PICTURE_PX - 1), device=device)
    if not vary:
        scale = torch.full((count,), INPUT_PX / PICTURE_PX, device=device)
        return scale[:, None, None] * torch.eye(2, device=device), middle, source
    angle = _TURN_RAD * (2.0 * torch.rand(count, device=device) - 1.0)
    scale = _SCALES[0] + (_SCALES[1] - _SCALES[0]) * torch.rand(count, device=device)
    mirrored = torch.where(torch.rand(count, device=device) < 0.5, -1.0, 1.0)
    cos, sin = scale * angle.cos(), scale * angle.sin()
    matrix = torch.stack(
        [torch.stack([cos * mirrored, -sin], dim=-1), torch.stack([sin * mirrored, cos], dim=-1)],
        dim=1,
    )
    shift = _SHIFT_PX * (2.0 * torch.rand((count, 1, 2), device=device) - 1.0)
    return matrix, middle, source + shift
