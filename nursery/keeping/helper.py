"""Run a command for another process, and end when that one ends.

    python3 -m nursery.keeping.helper verify

Who asks holds the other end of standard input open. Otherwise a command whose asker was killed
would go on, and write into a file that is another's by then, or make one where none should be.
"""

import os
import sys
import threading

from django.core.management import execute_from_command_line


def main(words: list[str]) -> None:
    """Run a command of manage.py for as long as the asker is there."""
    threading.Thread(target=_end_with_asker, daemon=True).start()
    execute_from_command_line(["manage.py", *words])


def _end_with_asker() -> None:
    """Wait for the end of standard input, on which nothing is ever said."""
    os.read(0, 1)
    os._exit(1)


if __name__ == "__main__":
    main(sys.argv[1:])
