"""A disk that is full as far as this process can tell: the system refuses longer files."""

from __future__ import annotations

import resource
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def files_up_to(size_bytes: int) -> Iterator[None]:
    """Let the system refuse to make any file longer than that, meanwhile."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size_bytes, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
