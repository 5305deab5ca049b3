"""Logs written on the spot, and a settings folder of their own, so that no test sees what a person once said."""

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def own_settings(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path_factory.mktemp("settings")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(folder))
    return folder


@pytest.fixture
def log(tmp_path: Path) -> Callable[..., Path]:
    """Return a writer of small logs: headings, then columns of cells as text."""

    def write(headings: Sequence[str], *columns: Sequence[object], delimiter: str = ",", name: str = "log.csv") -> Path:
        rows = [delimiter.join(map(str, row)) for row in zip(*columns, strict=True)]
        path = tmp_path / name
        path.write_text("\n".join([delimiter.join(headings), *rows]) + "\n", "utf-8")
        return path

    return write
