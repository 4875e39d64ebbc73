"""What `manage.py check --deploy` says of the machine the ledger stands on."""

import os
import stat
from pathlib import Path

from django.conf import settings
from django.core.checks import Tags, Warning, register


@register(Tags.security, deploy=True)
def only_the_ledger_reads_its_data(**_options) -> list[Warning]:
    """Warn where others at this machine may read the data folder or a key in it."""
    if os.name != "posix":
        return []
    keys = sorted(settings.DATA.glob("secret-key*"))
    return [_warning(path) for path in (settings.DATA, *keys) if _is_open_to_others(path)]


def _is_open_to_others(path: Path) -> bool:
    return bool(path.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO))


def _warning(path: Path) -> Warning:
    mode = "700" if path.is_dir() else "600"
    return Warning(
        f"Others at this machine may read {path}.",
        hint=f"Let its owner alone read it: chmod {mode} {path}",
        id="nursery.W001",
    )
