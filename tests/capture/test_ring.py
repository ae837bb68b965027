"""The ring keeps what is new, within its limits, and always begins with a key item."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import given
from hypothesis import strategies as st

from capturestation.capture.ring import Ring


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """An item of a ring."""

    host_ns: int
    is_key: bool = True
    size_bytes: int = 10


def filled(things: list[Thing], *, limit_bytes: int = 1000, limit_ns: int = 100) -> Ring[Thing]:
    ring: Ring[Thing] = Ring(limit_bytes=limit_bytes, limit_ns=limit_ns)
    for thing in things:
        ring.append(thing)
    return ring


def groups(every: int, until_ns: int, step_ns: int = 10) -> list[Thing]:
    times = range(0, until_ns, step_ns)
    return [Thing(host_ns=at, is_key=n % every == 0) for n, at in enumerate(times)]


def test_ring_keeps_the_key_frame_before_the_horizon() -> None:
    ring = filled(groups(every=4, until_ns=300), limit_ns=100)

    held = ring.since(0)

    assert held[0].is_key
    assert held[0].host_ns == 160
    assert held[-1].host_ns == 290


def test_a_stretch_begins_with_the_key_item_at_or_before_its_start() -> None:
    ring = filled(groups(every=4, until_ns=200), limit_ns=1000)

    assert [thing.host_ns for thing in ring.since(130)][:2] == [120, 130]
    assert ring.since(119)[0].host_ns == 80


def test_what_comes_before_the_first_key_item_is_not_kept() -> None:
    ring = filled([Thing(host_ns=0, is_key=False), Thing(host_ns=10), Thing(host_ns=20)])

    assert [thing.host_ns for thing in ring.since(0)] == [10, 20]


def test_a_ring_without_room_says_that_it_is_short() -> None:
    roomy = filled(groups(every=1, until_ns=500), limit_bytes=1000, limit_ns=100)
    tight = filled(groups(every=1, until_ns=500), limit_bytes=50, limit_ns=100)

    assert not roomy.short
    assert tight.short
    assert tight.size_bytes <= 50


def test_who_follows_gets_each_item_once_whatever_the_ring_lets_go() -> None:
    things = groups(every=1, until_ns=400)
    ring = filled(things[:20], limit_ns=100)
    follower = ring.follow(150)
    taken = []
    for thing in things[20:]:
        ring.append(thing)
        if thing.host_ns % 30 == 0:
            taken += follower.fresh()

    taken += follower.fresh()

    assert taken == things[15:]


def test_who_follows_too_slowly_goes_on_with_what_is_there() -> None:
    things = groups(every=5, until_ns=900)
    ring = filled(things[:20], limit_ns=100)
    follower = ring.follow(190)
    follower.fresh()
    for thing in things[20:]:
        ring.append(thing)

    fresh = follower.fresh()

    assert fresh[0].is_key
    assert fresh == ring.since(0)


def test_a_cleared_ring_holds_nothing() -> None:
    ring = filled(groups(every=2, until_ns=100))

    ring.clear()

    assert ring.since(0) == []
    assert (ring.size_bytes, ring.span_ns, ring.newest_key()) == (0, 0, None)


@given(
    st.lists(st.tuples(st.integers(1, 50), st.booleans(), st.integers(1, 400)), max_size=80),
    st.integers(1, 2000),
    st.integers(1, 300),
)
def test_a_ring_stays_in_its_budget_but_for_its_newest_group(
    steps: list[tuple[int, bool, int]], limit_bytes: int, limit_ns: int
) -> None:
    ring: Ring[Thing] = Ring(limit_bytes=limit_bytes, limit_ns=limit_ns)
    at_ns = 0
    for step_ns, is_key, size in steps:
        at_ns += step_ns
        ring.append(Thing(host_ns=at_ns, is_key=is_key, size_bytes=size))

        held = ring.since(0)
        newest = ring.since(at_ns)
        assert ring.size_bytes == sum(thing.size_bytes for thing in held)
        assert ring.size_bytes <= max(limit_bytes, sum(thing.size_bytes for thing in newest))
        assert not held or held[0].is_key
