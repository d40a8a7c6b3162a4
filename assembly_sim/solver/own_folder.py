"""Folders for what is kept between runs: made for the user alone, and used only while they are.

What is kept is trusted when it is read again, compiled code even run. So nothing is taken from a
folder that another account owns or may write to.
"""

from __future__ import annotations

import logging
import os
import stat
from pathlib import Path

log = logging.getLogger(__name__)


def own_folder(place: Path) -> Path | None:
    """`place`, made if need be, or None where it is not ours alone. Raises OSError."""
    place.parent.mkdir(parents=True, exist_ok=True)
    place.mkdir(mode=0o700, exist_ok=True)
    if is_ours(place):
        return place
    log.warning("%s is not used: another account owns it or may write there", place)
    return None


def is_ours(place: Path) -> bool:
    """Whether only this account may write to a folder; where systems have no such rights, yes."""
    if not hasattr(os, "geteuid"):
        return True
    found = place.stat()
    others = stat.S_IWGRP | stat.S_IWOTH
    return found.st_uid == os.geteuid() and not found.st_mode & others
