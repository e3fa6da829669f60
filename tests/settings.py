"""The project's own settings, read as for a test run: cheap hashing, no shared cache, tasks done at once."""

import os

os.environ.setdefault("STEPWITNESS_TESTING", "1")
os.environ.setdefault("STEPWITNESS_DATA", os.path.join(os.path.dirname(__file__), "..", ".data", "tests"))
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")  # the browser driver runs an event loop in the test's thread

from checkoffs.settings import *  # noqa: F403
