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


def test_a_piece_goes_once_nothing_in_it_is_held() -> None:
    tracemalloc.start()
    store = Store()
    first, second = (store.put(memoryview(b"x" * 700_000)) for _ in range(2))
    both_bytes = tracemalloc.get_traced_memory()[0]

    del first
    one_bytes = tracemalloc.get_traced_memory()[0]

    tracemalloc.stop()
    assert both_bytes > 2 << 20
    assert 1 << 20 <= one_bytes < both_bytes - 1_000_000
    assert len(second) == 700_000
