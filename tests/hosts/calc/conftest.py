"""Tests that end the office which the others of their module share come last, in whatever order the others run."""

import pytest


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: item.get_closest_marker("last") is not None)
