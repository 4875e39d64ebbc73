"""Run the tests: `python3 manage.py test`, further words go to pytest."""

import os

from nursery.bootstrap import ROOT


def main(arguments: list[str]) -> int:
    """Hand over to pytest with the settings of the tests, and return its verdict."""
    import pytest

    os.chdir(ROOT)
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    return pytest.main(arguments)
