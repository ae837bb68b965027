"""Lenses and bays come back from their documents whole, or the document is refused."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from calibration.bay import calibrate_bay
from calibration.documents import bay_document, lens_document, read_bay, read_lens
from calibration.errors import CalibrationError
from calibration.lens import lens_from_field_of_view
from calibration.places import Surroundings
from calibration.standing import BayCalibration
from tests.calibration.test_bay import MADE, places, stick
from tests.helpers.made_bays import FACE_ON

LENS = MADE.lenses[FACE_ON]


def bay() -> BayCalibration:
    """A bay with a stick and a place that was left out."""
    found = calibrate_bay(places(), MADE.lenses, Surroundings(stick=stick()))
    gone = replace(found.places[0], rms_px=float("nan"), used=False)
    return replace(found, places=(*found.places, gone), bad=("place 9 (face-on)",))


BAY = bay()


def test_a_lens_comes_back_whole() -> None:
    for lens in (LENS, lens_from_field_of_view(LENS.setting, 66.0)):
        back = read_lens(lens_document(lens))

        assert back.setting == lens.setting
        assert (back.numbers == lens.numbers).all()
        assert (back.covariance == lens.covariance).all()
        assert (back.model, back.rms_px) == (lens.model, lens.rms_px)


def test_a_bay_comes_back_whole() -> None:
    back = read_bay(bay_document(BAY))

    assert back.cameras == BAY.cameras
    assert (back.covariance == BAY.covariance).all()
    assert back.places[:-1] == BAY.places[:-1]
    assert np.isnan(back.places[-1].rms_px)
    assert (back.bad, back.scale, back.kind) == (BAY.bad, BAY.scale, BAY.kind)
    assert back.metres_good == BAY.metres_good


def test_units_stand_in_the_documents() -> None:
    lens, bay_ = json.loads(lens_document(LENS)), json.loads(bay_document(BAY))

    assert lens["units"][:4] == ["px"] * 4
    assert "sigma_px" in bay_
    assert "rad" in bay_["covariance_order"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"format": "other"}, "format is not"),
        ({"version": 2}, "newer than this program"),
        ({"values": [1.0, 2.0]}, "shape"),
        ({"covariance": None}, "a list is asked for"),
        ({"values": [float("nan")] * 9}, "not numbers"),
        ({"model": "fish"}, "no usable value"),
        ({"rms_px": "much"}, "a number is asked for"),
        ({"size_px": [1280]}, "no usable value"),
    ],
)
def test_a_document_that_is_no_usable_lens_is_refused(
    change: dict[str, object], words: str
) -> None:
    document = json.dumps({**json.loads(lens_document(LENS)), **change})

    with pytest.raises(CalibrationError, match=words):
        read_lens(document)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"cameras": []}, "shape"),
        ({"cameras": [{"format": "bay camera"}]}, "lacks"),
        ({"places": [3]}, "a place is asked for"),
        ({"scale": 3}, "a length is asked for"),
        ({"kind": "rope"}, "no usable value"),
    ],
)
def test_a_document_that_is_no_usable_bay_is_refused(change: dict[str, object], words: str) -> None:
    document = json.dumps({**json.loads(bay_document(BAY)), **change})

    with pytest.raises(CalibrationError, match=words):
        read_bay(document)


@pytest.mark.parametrize("read", [read_lens, read_bay])
def test_what_lacks_everything_or_is_no_json_is_refused(read: Callable[[str], object]) -> None:
    name = "bay lens" if read is read_lens else "bay"

    with pytest.raises(CalibrationError, match="lacks"):
        read(json.dumps({"format": name, "version": 1}))
    with pytest.raises(CalibrationError, match="not JSON"):
        read("{")
