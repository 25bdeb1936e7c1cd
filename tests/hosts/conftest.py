"""Commands run in a folder of their own, over small books."""

from pathlib import Path

import pytest

from xlcalc.hosts.commands import demo, new

from .running import built_once, small_content


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The empty folder in which the commands run."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(autouse=True)
def _small_books(monkeypatch: pytest.MonkeyPatch) -> None:
    """The demo is built and worked out once, but for the tests that watch it work."""
    monkeypatch.setattr(demo, "built", built_once)
    monkeypatch.setattr(demo, "content", small_content)
    monkeypatch.setattr(new, "content", small_content)
