"""Measure, and keep what was measured for the table at the end."""

import statistics
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass

TABLE: list[tuple[str, str, str]] = []


@dataclass(frozen=True)
class Times:
    """Seconds by the clock, and seconds of the processor."""

    clock: float
    processor: float

    def __truediv__(self, other: "Times") -> str:
        return f"{self.clock / other.clock:.2f} (processor {self.processor / other.processor:.2f})"

    def __str__(self):
        if self.clock < 1:
            return f"{1000 * self.clock:.2f} ms (processor {1000 * self.processor:.2f})"
        return f"{self.clock:.1f} s (processor {self.processor:.1f})"


def note(what: str, measured: object, target: str = "") -> None:
    """Keep a line for the table that is printed at the end."""
    TABLE.append((what, target, str(measured)))


def timed(act: Callable[[], object]) -> Times:
    """Do something once and return how long it took."""
    clock, processor = time.perf_counter(), time.process_time()
    act()
    return Times(time.perf_counter() - clock, time.process_time() - processor)


def least(times: Iterable[Times]) -> Times:
    """Return the shortest of a few long measurements: what the others made it longer is noise."""
    times = list(times)
    return Times(min(t.clock for t in times), min(t.processor for t in times))


def median(times: Iterable[Times]) -> Times:
    """Return the median of many short measurements."""
    times = list(times)
    return Times(
        statistics.median(t.clock for t in times), statistics.median(t.processor for t in times)
    )
