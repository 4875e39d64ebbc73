"""Campaigns against the ledger: a few tries in the suite, as many as asked for otherwise."""

import signal

from tests.faults.tallies import say_totals

# A ledger of so many tries is still small enough that its proofs cost little.
TRIES_OF_ONE_LEDGER = 50
FIRST_SEED = 1000


def pytest_addoption(parser):
    """Take the number of tries: `manage.py test tests/faults --campaign 500`."""
    parser.addoption("--campaign", type=int, default=0, help="tries of each campaign of faults")
    parser.addoption("--seed", type=int, default=FIRST_SEED, help="the first seed of a campaign")


def pytest_configure(config):
    """Let a campaign that is told to end say what it came to until then, as after Ctrl-C."""
    if config.getoption("--campaign", default=0):
        signal.signal(signal.SIGTERM, signal.default_int_handler)


def pytest_generate_tests(metafunc):
    """Give a test its `seeds`: the FEW of its file, or a campaign's, a ledger's worth each."""
    if "seeds" not in metafunc.fixturenames:
        return
    asked = metafunc.config.getoption("--campaign", default=0) or metafunc.module.FEW
    first = metafunc.config.getoption("--seed", default=FIRST_SEED)
    told = metafunc.definition.get_closest_marker("of_one_ledger")
    number = told.args[0] if told else TRIES_OF_ONE_LEDGER
    parts = [
        range(first + begin, first + min(begin + number, asked))
        for begin in range(0, asked, number)
    ]
    metafunc.parametrize("seeds", parts, ids=lambda part: f"{part.start}-{part.stop - 1}")


def pytest_collection_modifyitems(config, items):
    """Leave to campaigns what asks for more than a suite may take."""
    if not config.getoption("--campaign", default=0):
        left = [item for item in items if item.get_closest_marker("campaign")]
        config.hook.pytest_deselected(items=left)
        items[:] = [item for item in items if item not in left]


def pytest_terminal_summary(terminalreporter, config):
    """Print what each campaign came to."""
    if config.getoption("--campaign", default=0):
        for line in say_totals():
            terminalreporter.write_line(line)
