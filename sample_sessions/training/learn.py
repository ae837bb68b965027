"""Learns the club network from rows of pictures on a graphics card, for so many minutes.

Owns the learner: loss, rate, averaging, and folding into plain weights. The rate follows the time
that is given, so a run always ends well. Rows that are drawn meanwhile are taken in as they come.
"""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sample_sessions.training.pictures import SHAFT_SPOTS
from sample_sessions.training.plan import INPUT_NAME, INPUT_PX, STRIDE, Kind, Layer
from sample_sessions.training.seen import Rows, Shown, plain_batch, targets, varied_batch
from sample_sessions.training.variety import FRAMES, PICTURE_PX

if TYPE_CHECKING:
    from collections.abc import Callable

    import torch

BATCH = 256
PEAK_RATE, FADE = 3e-3, 1e-2
WARM_SHARE = 0.03
AVERAGED = 0.9985
_SPOT_WEIGHT, _WAY_WEIGHT = 30.0, 0.5
_LOOK_FOR_ROWS_S = 20.0
_FOLD_EPS = 1e-5


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """How well held-out pictures are seen, one at a time, without a path in time."""

    within_10deg_pct: float
    end_within_4pct_pct: float
    pictures: int


class Store:
    """Rows on the graphics card; grows as files appear.

    Args:
        folder: Where files of rows are.
        most: So many rows at most.
        device: The card.
    """

    def __init__(self, folder: Path, most: int, device: str) -> None:
        import torch

        self._folder, self._taken, self.count, self._most = folder, set[Path](), 0, most
        px, spots = PICTURE_PX, SHAFT_SPOTS
        self.rows = Rows(
            greys=torch.empty((most, FRAMES, px, px), dtype=torch.uint8, device=device),
            shaft_px=torch.empty((most, FRAMES, spots, 2), device=device),
            seen=torch.empty((most, FRAMES, spots), device=device),
            whole_px=torch.empty((most, FRAMES), device=device),
        )

    def refresh(self, most_files: int) -> None:
        """Take in some of the files that came since."""
        import torch

        new = sorted(set(self._folder.glob("rows-*.npz")) - self._taken)
        for path in new[:most_files]:
            with np.load(path) as held:
                count = min(len(held["greys"]), self._most - self.count)
                to = slice(self.count, self.count + count)
                for name in ("greys", "shaft_px", "seen", "whole_px"):
                    getattr(self.rows, name)[to] = torch.from_numpy(held[name][:count])
            self._taken.add(path)
            self.count += count


def build(plan: list[Layer]) -> torch.nn.ModuleDict:
    """Modules by the layers' names; convolutions with batches evened, the last one plain."""
    from torch import nn

    made = nn.ModuleDict()
    for layer in plan:
        if layer.kind is not Kind.CONV:
            continue
        last = layer is plan[-1]
        conv = nn.Conv2d(
            layer.inputs, layer.outputs, layer.kernel, layer.stride, layer.kernel // 2, bias=last
        )
        made[layer.name] = conv if last else nn.Sequential(conv, nn.BatchNorm2d(layer.outputs))
    return made


def maps_of(
    modules: torch.nn.ModuleDict, plan: list[Layer], pictures: torch.Tensor
) -> torch.Tensor:
    """Work the network out."""
    from torch.nn import functional

    made = {INPUT_NAME: pictures}
    for layer in plan:
        taken = [made[name] for name in layer.takes]
        if layer.kind is Kind.CONV:
            out = modules[layer.name](taken[0])
        elif layer.kind is Kind.ADD:
            out = taken[0] + taken[1]
        else:
            out = functional.interpolate(taken[0], scale_factor=2, mode="nearest")
        made[layer.name] = functional.relu(out) if layer.bent else out
    return made[plan[-1].name]


def loss_of(maps: torch.Tensor, shown: Shown) -> torch.Tensor:
    """Spots and shaft by weighted cross entropy, direction by its square where it is asked for."""
    from torch.nn import functional

    wanted, way, asked = targets(shown)
    spots = functional.binary_cross_entropy_with_logits(
        maps[:, :3], wanted, weight=1.0 + _SPOT_WEIGHT * wanted
    )
    off = ((maps[:, 3:] - way) ** 2).sum(dim=1, keepdim=True)
    return spots + _WAY_WEIGHT * (asked * off).sum() / asked.sum().clamp(min=1.0)


def learn(
    rows: Store, plan: list[Layer], minutes: float, say: Callable[[str], None]
) -> torch.nn.ModuleDict:
    """Learn for so long; gives the averaged network."""
    import torch

    torch.manual_seed(20261130)
    device = rows.rows.greys.device
    modules = build(plan).to(device, memory_format=torch.channels_last)
    averaged = build(plan).to(device)
    optimiser = torch.optim.AdamW(modules.parameters(), lr=PEAK_RATE, weight_decay=FADE)
    begun = asked_s = time.monotonic()
    steps, total = 0, 0.0
    while (share := (time.monotonic() - begun) / (60.0 * minutes)) < 1.0:
        if time.monotonic() - asked_s > _LOOK_FOR_ROWS_S:
            rows.refresh(60)
            asked_s = time.monotonic()
            say(f"{share:.2f} of the time, {steps} steps, {rows.count} rows, loss {total:.4f}")
        for group in optimiser.param_groups:
            group["lr"] = PEAK_RATE * _rate(share)
        chosen = torch.randint(0, rows.count, (BATCH,), device=device)
        shown = varied_batch(rows.rows, chosen)
        with torch.autocast("cuda", dtype=torch.bfloat16):
            maps = maps_of(modules, plan, shown.pictures)
        loss = loss_of(maps.float(), shown)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(modules.parameters(), 5.0)
        optimiser.step()
        steps += 1
        _average(averaged, modules, min(AVERAGED, steps / (steps + 10.0)))
        if steps % 50 == 0:
            total = float(loss.detach())
    return averaged


def _rate(share: float) -> float:
    if share < WARM_SHARE:
        return share / WARM_SHARE
    return 0.5 * (1.0 + float(np.cos(np.pi * (share - WARM_SHARE) / (1.0 - WARM_SHARE)))) + 1e-3


def _average(averaged: torch.nn.ModuleDict, modules: torch.nn.ModuleDict, keep: float) -> None:
    import torch

    with torch.no_grad():
        old, new = averaged.state_dict(), modules.state_dict()
        floats = [name for name, value in new.items() if value.is_floating_point()]
        torch._foreach_lerp_(
            [old[name] for name in floats], [new[name] for name in floats], 1.0 - keep
        )


def found(modules: torch.nn.ModuleDict, plan: list[Layer], rows: Store) -> Found:
    """See held-out pictures, straight and without chance, where the shaft can be measured."""
    import torch

    modules.eval()
    right, near, count = 0.0, 0.0, 0
    for first in range(0, rows.count, BATCH):
        chosen = torch.arange(first, min(first + BATCH, rows.count), device=rows.rows.seen.device)
        shown = plain_batch(rows.rows, chosen)
        with torch.no_grad():
            maps = maps_of(modules, plan, shown.pictures)
        along = shown.shaft_px[:, -1] - shown.shaft_px[:, 0]
        asked = (along.norm(dim=1) > 0.25 * shown.whole_px) & (shown.seen.mean(dim=1) > 0.3)
        weight = maps[:, 2:3].sigmoid() ** 2
        way = (weight * maps[:, 3:]).sum(dim=(2, 3))
        cos = (way * along).sum(1) / (way.norm(dim=1) * along.norm(dim=1)).clamp(min=1e-6)
        right += float(((cos > np.cos(np.radians(10.0))) & asked).sum())
        at = maps[:, 1].flatten(1).argmax(dim=1)
        side = INPUT_PX // STRIDE
        end = torch.stack([at % side, at // side], dim=1) * STRIDE + 0.5 * (STRIDE - 1)
        far = (end - shown.shaft_px[:, -1]).norm(dim=1)
        near += float(((far < 0.04 * INPUT_PX) & asked & (shown.seen[:, -1] > 0)).sum())
        count += int(asked.sum())
    return Found(
        within_10deg_pct=100.0 * right / max(count, 1),
        end_within_4pct_pct=100.0 * near / max(count, 1),
        pictures=count,
    )


def folded(
    modules: torch.nn.ModuleDict, plan: list[Layer]
) -> Mapping[str, tuple[NDArray[np.float32], NDArray[np.float32]]]:
    """Plain weights and offsets, the batches' averages worked in."""
    made = {}
    for layer in plan:
        if layer.kind is not Kind.CONV:
            continue
        module = modules[layer.name].cpu()
        if layer is plan[-1]:
            weights, offsets = module.weight.detach().numpy(), module.bias.detach().numpy()
        else:
            conv, even = module[0], module[1]
            gain = even.weight.detach() / (even.running_var + _FOLD_EPS).sqrt()
            weights = (conv.weight.detach() * gain[:, None, None, None]).numpy()
            offsets = (even.bias.detach() - even.running_mean * gain).numpy()
        made[layer.name] = np.ascontiguousarray(weights), np.ascontiguousarray(offsets)
    return made
