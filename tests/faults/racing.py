"""Writers that begin a deed at the same moment, as threads of one process or as processes."""

import threading
import traceback
from collections.abc import Callable, Sequence
from contextlib import contextmanager
from multiprocessing import get_context
from queue import SimpleQueue

from django.db import connection, connections

from inventory.errors import LedgerError
from tests.faults.deeds import Deed
from tests.faults.process import PATIENCE, Writer

Result = tuple[str, object]


def result_of(deed: Deed) -> Result:
    """Return ("done", what names it), ("refused", why), or ("broken", all that is known)."""
    try:
        return "done", deed.do()
    except LedgerError as error:
        return "refused", f"{type(error).__name__}: {error}"
    except Exception:
        return "broken", traceback.format_exc()


@contextmanager
def threads(number: int):
    """Yield what runs deeds at once, in threads that keep their connections."""
    start = threading.Barrier(number)
    asked = [SimpleQueue() for _ in range(number)]
    answers = SimpleQueue()

    def work(mine: int):
        while (deed := asked[mine].get()) is not None:
            start.wait(timeout=PATIENCE)
            answers.put((mine, deed and result_of(deed)))
        connection.close()

    workers = [threading.Thread(target=work, args=(mine,)) for mine in range(number)]
    for worker in workers:
        worker.start()
    try:
        yield _runner(number, lambda mine, deed: asked[mine].put(deed), answers.get)
    finally:
        for queue in asked:
            queue.put(None)
        for worker in workers:
            worker.join(timeout=PATIENCE)


@contextmanager
def processes(number: int):
    """Yield what runs deeds at once, each in a process of its own."""
    context = get_context("fork")
    start, asked = context.Barrier(number), [context.Pipe() for _ in range(number)]

    def work_of(mine: int):
        def work(pipe):
            while (deed := asked[mine][1].recv()) is not None:
                start.wait(timeout=PATIENCE)
                pipe.send((mine, deed and result_of(deed)))

        return work

    workers = [Writer(work_of(mine)) for mine in range(number)]
    waiting: list[Writer] = []

    def hear():
        if not waiting:
            waiting.extend(workers)
        return waiting.pop(0).hear()

    try:
        yield _runner(number, lambda mine, deed: asked[mine][0].send(deed), hear)
    finally:
        for mine, worker in enumerate(workers):
            asked[mine][0].send(None)
            worker.bury()
        connections.close_all()


def _runner(number: int, ask: Callable, hear: Callable) -> Callable[[Sequence[Deed]], list[Result]]:
    """Return what runs up to `number` deeds at once and tells their results in their order."""

    def run(deeds: Sequence[Deed]) -> list[Result]:
        # Workers without a deed pass the start and say nothing of it.
        for mine in range(number):
            ask(mine, deeds[mine] if mine < len(deeds) else False)
        answers = dict(hear() for _ in range(number))
        return [answers[mine] for mine in range(len(deeds))]

    return run
