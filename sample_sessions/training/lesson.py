"""One whole run: learn, test on what was held out, export.

Owns the files of a run: `club.onnx`, `club_reference.npz` (some pictures and what the learner
itself makes of them, so that any machine can check the file) and `club_figures.json`.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from sample_sessions.training.export import write_onnx
from sample_sessions.training.learn import Store, folded, found, learn, maps_of
from sample_sessions.training.plan import layers
from sample_sessions.training.seen import plain_batch

if TYPE_CHECKING:
    import torch

    from sample_sessions.training.plan import Layer

_TESTED_ROWS, _SHOWN_ROWS = 3000, 2
_NOTE = "Learnt from rendered pictures of invented swings only; see sample_sessions/training."


@dataclass(frozen=True, slots=True, kw_only=True)
class Folders:
    """Where pictures are and results go."""

    pictures: Path
    tested: Path
    out: Path


def run(folders: Folders, minutes: float, most_rows: int, say: Callable[[str], None]) -> str:
    """Learn, test, export; gives the figures as JSON.

    Args:
        folders: Where everything is.
        minutes: How long to learn.
        most_rows: So many rows at most on the card.
        say: Hears how it goes.
    """
    import torch

    device = "cuda" if torch.cuda.is_available() else "cpu"
    tested = Store(folders.tested, _TESTED_ROWS, device)
    tested.refresh(_TESTED_ROWS)
    rows = Store(folders.pictures, most_rows, device)
    rows.refresh(most_rows)
    say(f"{rows.count} rows to learn from, {tested.count} to test with, on {device}")
    plan = layers()
    modules = learn(rows, plan, minutes, say)
    figures = asdict(found(modules, plan, tested)) | {
        "rows_learnt": rows.count,
        "rows_tested": tested.count,
        "weights": sum(layer.weights for layer in plan),
        "minutes": minutes,
    }
    _keep_reference(folders.out / "club_reference.npz", modules, plan, tested)
    write_onnx(folders.out / "club.onnx", plan, folded(modules, plan), _NOTE)
    text = json.dumps(figures, indent=1)
    (folders.out / "club_figures.json").write_text(text + "\n", encoding="utf-8")
    return text


def _keep_reference(
    path: Path, modules: torch.nn.ModuleDict, plan: list[Layer], tested: Store
) -> None:
    """Some held-out pictures and the learner's own maps of them, worked out on the processor."""
    import torch

    chosen = torch.arange(_SHOWN_ROWS, device=tested.rows.greys.device)
    shown = plain_batch(tested.rows, chosen).pictures.cpu().half().float()
    with torch.no_grad():
        maps = maps_of(modules.cpu().eval(), plan, shown)
    np.savez_compressed(
        path, allow_pickle=False, pictures=shown.numpy().astype(np.float16), maps=maps.numpy()
    )
