"""What becomes of a ball: struck, seen again, kept, in the lesson, left, lost."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from capturestation.capture.messages import Hello, LookAt, LookReady, Lost
from capturestation.records import BallResult, Swing, SwingId, View
from capturestation.station.bay.balls import Balls, Stage
from tests.helpers.bay_facts import STRUCK_AT, kept, struck
from tests.helpers.made_swings import made_swing

LOOK = LookAt(view=View.FACE_ON, file="a.mp4", impact_media_ns=5)


def swing(key: str, *, starred: bool = False, rating: int | None = None) -> Swing:
    """That ball in the lesson."""
    made = made_swing(key)
    facts = replace(made.facts, id=SwingId(key))
    ball = BallResult(rating=rating)
    return Swing(facts=facts, book=replace(made.book, id=facts.id, starred=starred, ball=ball))


def balls_of(*keys: str) -> Balls:
    balls = Balls()
    for key in keys:
        balls.take(struck(key))
        balls.take(kept(key))
    return balls


def test_a_ball_goes_its_way() -> None:
    balls = Balls()

    stages = []
    for fact in (struck("a"), LookReady(id="a", looks=(LOOK,)), kept("a")):
        balls.take(fact)
        stages.append(balls.all[0].stage)
    balls.taken(swing("a"))

    assert stages == [Stage.STRUCK, Stage.STRUCK, Stage.KEPT]
    [ball] = balls.all
    assert (ball.stage, ball.looks, ball.swing_id) == (Stage.TAKEN, (LOOK,), "a")
    assert (balls.kept, balls.under_way, balls.waiting) == (1, 0, ())


def test_a_lost_ball_is_not_the_last_and_is_not_counted() -> None:
    balls = balls_of("a")
    balls.take(struck("b"))
    balls.take(Lost(struck_at=STRUCK_AT, why="No room.", try_next="Make room.", id="b"))
    balls.take(Lost(struck_at=STRUCK_AT, why="Cut off.", try_next="Again."))

    assert balls.last is not None
    assert (balls.last.id, balls.kept, len(balls.all)) == ("a", 1, 3)
    assert balls.all[1].said == "No room. Make room."


def test_a_ball_of_whoever_hit_before_is_taken_in_and_not_counted() -> None:
    balls = balls_of("a")
    balls.forget()

    balls.take(kept("late"))

    assert [ball.id for ball in balls.waiting] == ["late"]
    assert (balls.all, balls.kept, balls.last) == ((), 0, None)


def test_what_is_said_of_a_ball_stands_until_the_lesson_says_it() -> None:
    balls = balls_of("a")

    balls.star("a")
    balls.rate("a", 4)
    said = balls.all[0]
    balls.rate("a", 4)
    unsaid = balls.all[0]
    balls.taken(swing("a"))
    balls.told(swing("a", starred=True, rating=2))

    assert (said.starred, said.rating, unsaid.rating) == (True, 4, None)
    assert (balls.all[0].starred, balls.all[0].rating) == (True, 2)


def test_a_ball_that_can_t_be_taken_in_is_left_with_the_reason() -> None:
    balls = balls_of("a")

    balls.left("a", "Its folder is damaged.")

    assert (balls.all[0].stage, balls.all[0].said) == (Stage.LEFT, "Its folder is damaged.")
    assert (balls.kept, balls.waiting) == (1, ())


def test_a_ball_that_was_put_away_is_the_last_no_more() -> None:
    balls = balls_of("a", "b")

    balls.gone("b")

    assert balls.last is not None
    assert balls.last.id == "a"


def test_a_pace_needs_a_few_balls() -> None:
    balls = Balls()
    paces = []
    for number in range(5):
        balls.take(struck(str(number), STRUCK_AT + timedelta(minutes=2 * number)))
        paces.append(balls.an_hour())

    assert paces[:4] == [None] * 4
    assert paces[4] == pytest.approx(30.0)


def test_what_is_no_ball_is_left_to_others() -> None:
    assert not Balls().take(Hello(version="1", pid=2))
