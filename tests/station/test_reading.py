"""What a coach should know of how a file is read stands beside the swing."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from capturestation.library import Library
from capturestation.records import Quiet, Student, View
from capturestation.station.intake import IntakeRequest, add_swing
from capturestation.station.reading import about_files
from tests.helpers.coded_media import Traits, write_coded_clip
from tests.helpers.looked_at import BOTH, Room
from tests.helpers.station_library import MORNING


def test_of_ordinary_files_little_is_said(looked_at: Room) -> None:
    said = about_files(looked_at.library, looked_at.library.swing(looked_at.swing_id))

    assert tuple(said) == BOTH
    assert not any("varying" in sentence for view in said for sentence in said[view])


def test_a_varying_rate_is_said(library: Library, student: Student, tmp_path: Path) -> None:
    traits = Traits(
        pts=[3000 * n + 700 * (n % 3) for n in range(48)], time_base=Fraction(1, 90_000)
    )
    path = write_coded_clip(tmp_path / "a.mp4", frames=48, rate_hz=Fraction(30), traits=traits)
    request = IntakeRequest(
        student=student.id,
        files={View.FACE_ON: path},
        club="7 iron",
        struck_at=MORNING,
        contacts_ns={View.FACE_ON: 10**9},
    )

    swing = add_swing(library, request, Quiet())

    assert any("varying rate" in sentence for sentence in about_files(library, swing)[View.FACE_ON])


def test_a_file_that_is_gone_says_so_and_hides_nothing_else(looked_at: Room) -> None:
    looked_at.original(View.DOWN_THE_LINE).unlink()

    said = about_files(looked_at.library, looked_at.library.swing(looked_at.swing_id))

    assert said[View.DOWN_THE_LINE] == ("down-the-line.mp4 is not there.",)
    assert View.FACE_ON in said
