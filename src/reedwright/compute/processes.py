"""Two ways to spread work: over several processes, or here, one item after the other."""

import multiprocessing
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from types import TracebackType
from typing import TypeVar

__all__ = ["Here", "Processes"]

_Item = TypeVar("_Item")
_Result = TypeVar("_Result")

#: Items handed out ahead of the one being waited for, per process: enough to keep all
#: busy, few enough that the pieces of sound in flight stay small.
_AHEAD = 4


class Here:
    """Work done in this process, for tests and small jobs."""

    def map(
        self, function: Callable[[_Item], _Result], items: Iterable[_Item]
    ) -> Iterator[_Result]:
        """Yield ``function(item)`` for each item, in order."""
        return map(function, items)


class Processes:
    """Work done in ``count`` processes that start at once, while the caller prepares the items.

    Use it as a context manager; on leaving, the processes end. ``prepare`` is a
    module-level function each process runs first, such as one that imports what
    the work needs.
    """

    def __init__(self, count: int, *, prepare: Callable[[], None] | None = None) -> None:
        # "spawn" is the one way that all systems share and that no thread can upset.
        self._pool = ProcessPoolExecutor(
            max_workers=count,
            mp_context=multiprocessing.get_context("spawn"),
            initializer=prepare,
        )
        self._ahead = _AHEAD * count
        self._started = [self._pool.submit(_nothing) for _ in range(count)]

    def __enter__(self) -> "Processes":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._pool.shutdown(cancel_futures=True)

    def map(
        self, function: Callable[[_Item], _Result], items: Iterable[_Item]
    ) -> Iterator[_Result]:
        """Yield ``function(item)`` for each item, in order, with few items in flight."""
        waiting: deque[Future[_Result]] = deque()
        for item in items:
            waiting.append(self._pool.submit(function, item))
            if len(waiting) >= self._ahead:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()


def _nothing() -> None:
    """Do nothing: the first item makes a process start."""
