"""Bytes of packets in large pieces: each comes back as it was; a piece goes with its last."""

from __future__ import annotations

import tracemalloc

from hypothesis import given
from hypothesis import strategies as st

from capturestation.media._store import Store, packet_of


@given(st.lists(st.binary(max_size=3000), max_size=30), st.integers(0, 3))
def test_what_is_laid_in_stays_as_it_was(datas: list[bytes], large: int) -> None:
    store = Store()
    whole = [*datas, *(bytes([n]) * 1_200_000 for n in range(large))]

    held = [store.put(memoryview(data)) for data in whole]

    assert [bytes(one) for one in held] == whole
    assert all(one.readonly for one in held)
    assert [bytes(packet_of(one)) for one in held if len(one)] == [one for one in whole if one]


def test_a_piece_goes_once_nothing_in_it_is_held_and_one_is_filled_again() -> None:
    tracemalloc.start()
    store = Store()
    first, second, third = (store.put(memoryview(bytes([n]) * 700_000)) for n in range(3))
    three_bytes = tracemalloc.get_traced_memory()[0]

    del first, second
    two_bytes = tracemalloc.get_traced_memory()[0]
    fourth = store.put(memoryview(b"x" * 700_000))
    again_bytes = tracemalloc.get_traced_memory()[0]

    tracemalloc.stop()
    assert three_bytes > 2_100_000
    assert 1_400_000 < two_bytes < three_bytes - 700_000
    assert again_bytes < two_bytes + 10_000
    assert bytes(third) == b"\2" * 700_000
    assert bytes(fourth) == b"x" * 700_000


def test_what_is_larger_than_a_piece_is_not_kept_for_the_next() -> None:
    tracemalloc.start()
    store = Store()
    held = store.put(memoryview(b"x" * 5_000_000))
    large_bytes = tracemalloc.get_traced_memory()[0]

    del held
    store.put(memoryview(b"y" * 100_000))

    none_bytes = tracemalloc.get_traced_memory()[0]
    tracemalloc.stop()
    assert large_bytes > 5_000_000
    assert none_bytes < 3_000_000


def test_a_piece_that_is_held_outlives_the_store() -> None:
    store = Store()
    held = store.put(memoryview(b"abc"))

    del store

    assert bytes(held) == b"abc"
