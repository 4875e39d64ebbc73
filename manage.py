#!/usr/bin/env python3
"""The command line of the nursery ledger. The first use builds .venv by itself."""

import os
import sys

from nursery import bootstrap


def main() -> None:
    """Enter the environment and run one command."""
    bootstrap.enter(sys.argv[1:])
    if sys.argv[1:2] == ["test"]:
        from nursery import testing

        sys.exit(testing.main(sys.argv[2:]))

    from nursery import machine

    machine.choose_database(sys.argv[1:])
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "nursery.settings")
    from nursery.watching import commands

    commands.run(sys.argv)


if __name__ == "__main__":
    main()
