"""The site's settings under test: a data folder of their own, and no outer settings."""

import atexit
import os
import shutil
import tempfile

from portal.environment import SETTINGS

for name in SETTINGS:
    os.environ.pop(name, None)
folder = tempfile.mkdtemp(prefix="carryover-tests-")
atexit.register(shutil.rmtree, folder, ignore_errors=True)
os.environ["CARRYOVER_DATA"] = folder
os.environ["CARRYOVER_URL"] = "http://testserver"

from portal.settings import *  # noqa: E402, F403
from portal.settings import DATABASES, STORAGES  # noqa: E402

# Pages name static files as they lie in the tree: nothing is collected for tests
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}

# A file, as on a real site: threads of a live server would lock one another out of a database
# in memory, where SQLite does not wait
DATABASES["default"].setdefault("TEST", {})["NAME"] = os.path.join(folder, "tests.sqlite3")  # noqa: PTH118
