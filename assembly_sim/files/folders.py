"""Where the shipped materials and climates are: in the installed package or in a checkout."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent


def shipped(name: str) -> Path:
    """Folder `materials` or `climates`: the wheel's copy first, then beside the package.

    Raises FileNotFoundError where neither is there, which means a broken installation.
    """
    for folder in (_PACKAGE / "_data" / name, _PACKAGE.parent / name):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"the shipped folder '{name}' is missing: install the package again")
