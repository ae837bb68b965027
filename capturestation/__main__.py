"""The script's entry."""

from __future__ import annotations

import sys

from capturestation.cli.main import run


def main() -> None:
    """Run the command line and leave with its exit code."""
    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
