"""The one table of keys: no key twice where both are heard, words for each, a remote's keys win."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PyQt6.QtGui import QKeySequence

from capturestation.ui.keys import (
    REMOTE_ACTIONS,
    REPEATS,
    heard_in,
    key_table,
    with_learnt,
)
from capturestation.ui.texts import texts

PORTABLE = QKeySequence.SequenceFormat.PortableText


@pytest.mark.parametrize("place", ["book", "bench", "bay"])
def test_no_key_means_two_things_at_once(place: str) -> None:
    keys = Counter(
        QKeySequence.fromString(key, PORTABLE).toString(PORTABLE)
        for line in heard_in(place)
        for key in line.keys
    )

    assert [key for key, count in keys.items() if count > 1] == []
    assert "" not in keys


def test_every_action_stands_once_and_has_its_words() -> None:
    actions = Counter(line.action for line in key_table())

    assert [action for action, count in actions.items() if count > 1] == []
    assert {line.text for line in key_table()} <= set(texts())


def test_every_key_is_one_that_qt_knows() -> None:
    for line in key_table():
        for key in line.keys:
            assert QKeySequence.fromString(key, PORTABLE).count() == 1, (line.action, key)


def test_what_repeats_and_what_a_remote_does_is_in_the_table() -> None:
    actions = {line.action for line in key_table()}

    assert actions >= REPEATS
    assert {line.action for line in key_table() if line.place == "remote"} == set(REMOTE_ACTIONS)


@given(
    st.dictionaries(
        st.sampled_from(REMOTE_ACTIONS), st.sampled_from(["Right", "S", "F5", "XF86Back"])
    )
)
def test_a_learnt_key_wins_and_means_nothing_else(learnt: dict[str, str]) -> None:
    one_each = {key: action for action, key in learnt.items()}
    wanted = {action: (key,) for key, action in one_each.items()}

    lines = with_learnt(heard_in("bench"), wanted)

    for action, keys in wanted.items():
        heard = [line.action for line in lines if keys[0] in line.keys]
        assert heard == [action]


def test_without_learning_the_table_stays() -> None:
    assert with_learnt(heard_in("book"), {}) == heard_in("book")
