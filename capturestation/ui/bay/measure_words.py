"""The words of measuring the bay: what each step is, what is seen, what is to be done next."""

from __future__ import annotations

from capturestation.station.bay.measuring import Measuring, Step
from capturestation.ui.texts import say


def step_words(measuring: Measuring) -> tuple[str, str]:
    """A step's title, and what is done there."""
    step = measuring.step
    view = say(f"bay.view.{measuring.at}") if measuring.at is not None else ""
    title = say(f"bay.measure.title.{step}", view=view)
    if step is Step.LINE:
        way = "left" if measuring.target_is_left else "right"
        return title, say(f"bay.measure.text.line.{way}")
    return title, say(f"bay.measure.text.{step}")


def next_words(measuring: Measuring) -> str:
    """What is to be done next."""
    return say(f"bay.measure.next.{measuring.next_words}")


def taken_words(measuring: Measuring) -> str:
    """How much was taken."""
    kind = "lens" if measuring.step is Step.LENS else "places"
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
    good = "metres" if measuring.is_good_for_metres else "angles"
    return [*lines, say(f"bay.measure.result.{good}")]
