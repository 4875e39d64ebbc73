"""The rows every ledger begins with: container classes and loss causes."""

import json
from pathlib import Path

FIXTURES = Path(__file__).resolve().parent.parent / "fixtures"


def write_standard_rows(container_model, cause_model) -> None:
    """Write the container classes and loss causes that are not there yet."""
    for position, row in enumerate(_read("containers.json"), start=1):
        container_model.objects.get_or_create(
            code=row["code"], defaults={**row, "position": position * 10}
        )
    for position, row in enumerate(_read("loss_causes.json"), start=1):
        cause_model.objects.get_or_create(
            code=row["code"], defaults={**row, "position": position * 10}
        )


def _read(name):
    return json.loads((FIXTURES / name).read_text(encoding="utf-8"))
