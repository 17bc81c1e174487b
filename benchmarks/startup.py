"""How long the commands take to answer: ``python -m benchmarks.startup``.

Each line starts a new Python, as a user does; the median of the runs is printed.
"""

import argparse
import statistics
import subprocess
import sys
import time

COMMANDS = (
    ["--help"],
    ["--version"],
    ["survey", "--help"],
    ["layouts", "english-treble-48", "--json"],
    ["tunings", "--json"],
)


def seconds_to_answer(words: list[str], *, runs: int) -> float:
    """Return the median wall time of ``reedwright`` with these words, seconds."""
    taken = []
    for _ in range(runs):
        start = time.perf_counter()
        subprocess.run(  # noqa: S603 - our own program
            [sys.executable, "-m", "reedwright", *words],
            check=True,
            stdout=subprocess.DEVNULL,
        )
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def main() -> None:
    """Print a table of commands and seconds."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=7)
    runs = parser.parse_args().runs
    print("| command | s |\n|---|---:|")
    for words in COMMANDS:
        print(f"| `reedwright {' '.join(words)}` | {seconds_to_answer(words, runs=runs):.2f} |")


if __name__ == "__main__":
    main()
