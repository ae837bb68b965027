from __future__ import annotations

import threading

import pytest

from capturestation.station import crew as crew_module
from capturestation.station.crew import Belt, Crew


def test_work_is_done_when_a_crew_is_left_in_order() -> None:
    done: list[int] = []

    with Crew("job") as crew:
        belt: Belt[int] = crew.belt(1)
        crew.start("take", lambda: done.extend(belt.get() for _ in range(5)))
        for number in range(5):
            belt.put(number)

    assert done == [0, 1, 2, 3, 4]


def test_the_failure_of_a_thread_is_raised_and_frees_those_who_wait_for_it() -> None:
    def fail() -> None:
        msg = "the disk is gone"
        raise OSError(msg)

    def wait_for_it() -> None:
        with Crew("job") as crew:
            belt: Belt[int] = crew.belt(1)
            crew.start("fail", fail)
            belt.get()

    with pytest.raises(OSError, match="the disk is gone"):
        wait_for_it()

    assert not [t for t in threading.enumerate() if t.name.startswith("job-")]


def test_an_exception_in_the_block_ends_threads_that_wait_either_way() -> None:
    def stumble() -> None:
        with Crew("job") as crew:
            empty: Belt[int] = crew.belt(1)
            full: Belt[int] = crew.belt(1)
            full.put(0)
            crew.start("take", lambda: full.put(empty.get()))
            crew.start("give", lambda: full.put(1))
            raise KeyError

    with pytest.raises(KeyError):
        stumble()

    assert not [t for t in threading.enumerate() if t.name.startswith("job-")]


def test_threads_are_named_by_job_and_work() -> None:
    names: list[str] = []

    with Crew("clip") as crew:
        crew.start("read", lambda: names.append(threading.current_thread().name))

    assert names == ["clip-read"]


def test_a_thread_that_hangs_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crew_module, "_JOIN_S", 0.01)
    let_go = threading.Event()

    with pytest.raises(RuntimeError, match="job-hang"), Crew("job") as crew:
        crew.start("hang", lambda: waits(let_go))

    let_go.set()


def waits(let_go: threading.Event) -> None:
    assert let_go.wait(10)
