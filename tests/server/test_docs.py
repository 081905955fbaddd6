"""The papers keep up with the code: every setting, address and command is written down."""

from __future__ import annotations

from dataclasses import fields

from server.app import ROUTES
from server.cli import main
from server.settings import ROOT, Settings

PAPER = (ROOT / "DEVELOPERS.md").read_text("utf-8")


def test_every_setting_is_written_down() -> None:
    assert [f.name for f in fields(Settings) if f"`{f.name}`" not in PAPER] == []


def test_every_address_is_written_down() -> None:
    assert [
        r.path for r in ROUTES if f"`{r.path}`" not in PAPER and f"`POST {r.path}`" not in PAPER
    ] == []


def test_every_command_is_written_down() -> None:
    assert [name for name in main.commands if f"`{name}`" not in PAPER] == []
