"""The settings of the tests: production's, loosened where a test would only wait."""

import os
import tempfile
from pathlib import Path

# A folder of its own, so that tests never touch a nursery's ledger, nor those of another run.
_scratch = tempfile.TemporaryDirectory(prefix="nursery-tests-", ignore_cleanup_errors=True)
os.environ["NURSERY_DATA"] = _scratch.name

from nursery.settings import *  # noqa: E402, F403
from nursery.settings import DATABASES, MIDDLEWARE, STORAGES  # noqa: E402

TIME_ZONE = "UTC"
# A test that is about copies names a folder for them.
BACKUPS = None
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
AXES_ENABLED = False
STORAGES = STORAGES | {
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
}
# Nothing is gathered for tests; the test server serves the sources.
MIDDLEWARE = [name for name in MIDDLEWARE if not name.startswith("whitenoise.")]

DATABASES.pop("replica", None)
_database = DATABASES["default"]
_database["CONN_MAX_AGE"] = 0
if _database["ENGINE"] == "django.db.backends.sqlite3":
    # A file, as in production, so that two threads meet real locks; no wait for the disk.
    _database["TEST"] = {"NAME": str(Path(_scratch.name) / "test.sqlite3")}
    _database["OPTIONS"] = _database["OPTIONS"] | {
        "init_command": _database["OPTIONS"]["init_command"].replace("FULL", "OFF")
    }
else:
    _database["TEST"] = {"NAME": f"test_{_database['NAME']}_{os.getpid()}"}
