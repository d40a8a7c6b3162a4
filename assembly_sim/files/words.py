"""Words that a user wrote against the words that are known."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


def nearest(word: str, known: Iterable[str]) -> str:
    """`did you mean 'x'?` for the names closest to a misspelt one, or nothing."""
    by_lower = {name.lower(): name for name in known}
    close = difflib.get_close_matches(word.lower(), by_lower, n=3, cutoff=0.6)
    names = " or ".join(f"'{by_lower[name]}'" for name in close)
    return f"did you mean {names}?" if names else ""
