"""Settings for the tests and the type checker: the test mode of training.config.settings, made fast and harmless."""

import os
import tempfile
from pathlib import Path

os.environ["HEADLAP_MODE"] = "test"

from training.config.settings import *  # noqa: F403

# Tests make hundreds of users; the real hasher is slow on purpose (it is tested by itself).
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
MEDIA_ROOT = Path(tempfile.gettempdir()) / f"headlap-test-{os.getpid()}-uploads"
AXES_ENABLED = False  # the fixture `growing_waits` turns it on
