"""A progress bar for long work, on the error stream, and only where a person looks on."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

__all__ = ["progress_bar"]


@contextmanager
def progress_bar(what: str) -> Iterator[Callable[[float], None]]:
    """Yield a function that takes the share done, 0 to 1, and shows it."""
    if not sys.stderr.isatty():
        yield lambda _share: None
        return
    from rich.console import Console  # noqa: PLC0415 - only where someone looks on
    from rich.progress import Progress  # noqa: PLC0415

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=1.0)
        yield lambda share: bar.update(task, completed=share)
