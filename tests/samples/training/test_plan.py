"""The network's plan, and that the committed file was made by it."""

from __future__ import annotations

import importlib
import sys
from importlib.resources import files

from sample_sessions.training.plan import INPUT_NAME, MAPS, PICTURES, Kind, layers


def test_every_layer_takes_what_came_before_it() -> None:
    plan = layers()
    channels = {INPUT_NAME: PICTURES}

    for layer in plan:
        taken = [channels[name] for name in layer.takes]
        assert len(set(taken)) == 1
        if layer.kind is Kind.CONV:
            assert taken == [layer.inputs]
        channels[layer.name] = layer.outputs if layer.kind is Kind.CONV else taken[0]

    assert channels[plan[-1].name] == MAPS


def test_the_committed_file_holds_as_many_weights_as_the_plan() -> None:
    size = len(files("capturestation.tracking").joinpath("club.onnx").read_bytes())

    weights_size = 4 * sum(layer.weights for layer in layers())

    assert weights_size < size < weights_size + 20_000


def test_the_learner_can_be_read_without_what_it_learns_with() -> None:
    for name in ("seen", "learn", "export", "lesson", "__main__"):
        importlib.import_module(f"sample_sessions.training.{name}")

    assert "torch" not in sys.modules
    assert "onnx" not in sys.modules
