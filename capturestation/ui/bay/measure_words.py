"""The words of measuring the bay: what each step is, what is seen, what is to be done next."""

from __future__ import annotations

from capturestation.records import View
from capturestation.station.bay.marks import End
from capturestation.station.bay.measuring import Measuring
from capturestation.station.bay.measuring_state import Means, Step
from capturestation.station.beforehand import Outlook
from capturestation.ui.texts import say

_KINDS = {Means.BOARD: "places", Means.STICKS: "ends"}
_WHERE_RIGHT = {End.REAR: "left", End.FRONT: "right", End.LEFT: "far", End.RIGHT: "near"}
_WHERE_LEFT = {End.REAR: "right", End.FRONT: "left", End.LEFT: "near", End.RIGHT: "far"}
# In the face-on picture, by the side that the target is on there.
_WHERE_BEHIND = {End.REAR: "near", End.FRONT: "far", End.LEFT: "left", End.RIGHT: "right"}


def expected_words(outlook: Outlook) -> str:
    """Which errors are to be expected."""
    told = {
        name: one and say(
            f"bay.measure.expect.{name}",
            count=one.places,
            mm=f"{one.worst[0]:.0f}",
            deg=f"{one.worst[1]:.2f}",
        )
        for name, one in (("now", outlook.now), ("then", outlook.then))
    }  # fmt: skip
    last = outlook.then or outlook.now
    is_angles = last is not None and not last.metres_good
    told["no metres"] = say("bay.measure.expect.angles") if is_angles else None
    return " ".join(words for words in told.values() if words)


def step_words(measuring: Measuring) -> tuple[str, str]:
    """A step's title, and what is done there."""
    step = measuring.step
    view = say(f"bay.view.{measuring.at}") if measuring.at is not None else ""
    title = say(f"bay.measure.title.{step}", view=view)
    if step is Step.LINE:
        way = "left" if measuring.target_is_left else "right"
        return title, say(f"bay.measure.text.line.{way}")
    if step is Step.RESULT and measuring.means is Means.STICKS:
        return title, say("bay.measure.text.result.sticks")
    if step is Step.PLACES and measuring.is_lying:
        return title, say("bay.measure.text.places.lying")
    return title, say(f"bay.measure.text.{step}")


def next_words(measuring: Measuring) -> str:
    """What is to be done next."""
    lacking = measuring.sticks.marks.first_lacking(measuring.by_view)
    if measuring.step is not Step.STICKS or lacking is None:
        return say(f"bay.measure.next.{measuring.next_words}")
    view, end = lacking
    return end_words(view, end, target_is_left=measuring.target_is_left)


def end_words(view: View, end: End, *, target_is_left: bool, is_alone: bool = False) -> str:
    """Which end is to be marked in which picture.

    Args:
        view: The picture.
        end: The end.
        target_is_left: Where the target is in the face-on picture.
        is_alone: Whether there is one stick only, beside the line.
    """
    across = "across" if end in (End.LEFT, End.RIGHT) else "along"
    return say(
        "bay.stick.mark",
        view=say(f"bay.view.{view}"),
        end=end_word(view, end, target_is_left=target_is_left),
        stick=say("bay.stick.alone" if is_alone else f"bay.stick.{across}"),
    )


def end_word(view: View, end: End, *, target_is_left: bool) -> str:
    """Where an end lies in a picture."""
    face_on = _WHERE_LEFT if target_is_left else _WHERE_RIGHT
    where = (face_on if view is View.FACE_ON else _WHERE_BEHIND)[end]
    return say(f"bay.stick.where.{where}")


def taken_words(measuring: Measuring) -> str:
    """How much was taken."""
    kind = "lens" if measuring.step is Step.LENS else _KINDS[measuring.means]
    taken = measuring.taken
    return say(f"bay.measure.taken.{kind}.{'one' if taken == 1 else 'many'}", count=taken)


def result_lines(measuring: Measuring) -> list[str]:
    """What came out, a line for each camera, then what it is good for."""
    lines = [
        say(
            "bay.measure.result.camera",
            view=say(f"bay.view.{one.view}"),
            away=f"{one.away_m:.2f}",
            high=f"{one.high_m:.2f}",
            mm=f"{one.u_mm:.0f}",
            deg=f"{one.u_deg:.2f}",
        )
        for one in measuring.found
    ]
    if measuring.left_out:
        lines.append(say("bay.measure.result.left_out", names=", ".join(measuring.left_out)))
    if measuring.odd is not None:
        lines.append(say(f"bay.measure.odd.{measuring.odd}"))
    good = "metres" if measuring.is_good_for_metres else "angles"
    return [*lines, say(f"bay.measure.result.{good}")]
