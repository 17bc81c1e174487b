"""The console entry: imports nothing heavy before it knows the command."""

import sys

__all__ = ["main"]


def main() -> int:
    """Run the command line and return its exit code."""
    from reedwright.wiring import run

    return run(sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())
