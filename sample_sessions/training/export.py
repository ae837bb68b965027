"""Writes the learnt network as ONNX, with plain operations that OpenCV runs.

Owns the file's layout. `onnx` is no dependency of the station; it is imported when this is called.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sample_sessions.training.plan import (
    INPUT_NAME,
    INPUT_PX,
    MAPS,
    OUTPUT_NAME,
    PICTURES,
    STRIDE,
    Kind,
    Layer,
)

if TYPE_CHECKING:
    import onnx

OPSET = 13
Learnt = Mapping[str, tuple[NDArray[np.float32], NDArray[np.float32]]]
"""Weights (outputs, inputs, kernel, kernel) and offsets (outputs,) by the layer's name."""


def write_onnx(path: Path, plan: list[Layer], learnt: Learnt, note: str) -> None:
    """Write the file.

    Args:
        path: Where; replaced.
        plan: The network.
        learnt: What it learnt, averages of batches folded in.
        note: What it was made from, kept inside.
    """
    import onnx
    from onnx import TensorProto, helper, numpy_helper

    names = {layer.name: layer.name for layer in plan} | {INPUT_NAME: INPUT_NAME}
    names[plan[-1].name] = OUTPUT_NAME
    nodes, constants = [], [numpy_helper.from_array(_scales(), "scales")]
    for layer in plan:
        nodes += _nodes(layer, names)
        if layer.kind is Kind.CONV:
            weights, offsets = learnt[layer.name]
            constants.append(numpy_helper.from_array(weights, f"{layer.name}.w"))
            constants.append(numpy_helper.from_array(offsets, f"{layer.name}.b"))
    side = INPUT_PX // STRIDE
    graph = helper.make_graph(
        nodes, "club",
        [helper.make_tensor_value_info(
            INPUT_NAME, TensorProto.FLOAT, ["n", PICTURES, INPUT_PX, INPUT_PX])],
        [helper.make_tensor_value_info(OUTPUT_NAME, TensorProto.FLOAT, ["n", MAPS, side, side])],
        constants,
    )  # fmt: skip
    model = helper.make_model(
        graph, opset_imports=[helper.make_opsetid("", OPSET)], producer_name="capturestation"
    )
    model.ir_version, model.doc_string = 8, note
    onnx.checker.check_model(model)
    onnx.save(model, str(path))


def _scales() -> NDArray[np.float32]:
    return np.array([1.0, 1.0, 2.0, 2.0], np.float32)


def _nodes(layer: Layer, names: Mapping[str, str]) -> list[onnx.NodeProto]:
    from onnx import helper

    takes, out = [names[name] for name in layer.takes], names[layer.name]
    before = f"{out}.straight" if layer.bent else out
    if layer.kind is Kind.CONV:
        half = layer.kernel // 2
        made = helper.make_node(
            "Conv", [*takes, f"{layer.name}.w", f"{layer.name}.b"], [before],
            kernel_shape=[layer.kernel] * 2, strides=[layer.stride] * 2, pads=[half] * 4,
        )  # fmt: skip
    elif layer.kind is Kind.ADD:
        made = helper.make_node("Add", takes, [before])
    else:
        made = helper.make_node(
            "Resize", [takes[0], "", "scales"], [before], mode="nearest",
            coordinate_transformation_mode="asymmetric", nearest_mode="floor",
        )  # fmt: skip
    return [made, helper.make_node("Relu", [before], [out])] if layer.bent else [made]
