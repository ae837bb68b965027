"""A station that records and says what it is told, to be killed: `... SETTING_FILE`.

Prints the recording's process first, then the kind of each fact.
"""

from __future__ import annotations

import sys
from pathlib import Path

from capturestation.capture.messages import Configure, command_of
from capturestation.station.capture_client import CaptureClient
from tests.helpers.recorded_bay import READY


def main() -> None:
    """Record until killed."""
    asked = command_of(Path(sys.argv[1]).read_text(encoding="utf-8"))
    assert isinstance(asked, Configure)
    with CaptureClient(asked.setting) as client:
        client.say(READY)
        say(str(client.pid))
        while True:
            fact = client.next_fact(timeout_s=1.0)
            if fact is not None:
                say(type(fact).__name__)


def say(line: str) -> None:
    """At once."""
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
