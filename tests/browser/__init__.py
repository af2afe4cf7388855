"""Tests in a real Chromium, on the running demo."""

import pytest

pytest.register_assert_rewrite("tests.browser.tour", "tests.browser.visitors", "tests.browser.journey")
