"""Files damaged at random: cut short, zeroed over 4 kB, or with thirty bytes changed."""

from __future__ import annotations

import random


def damaged(data: bytes, number: int, chance: random.Random, within: int) -> bytes:
    """The data with damage of one kind in three by its number; changes fall `within` its start."""
    broken = bytearray(data)
    at = chance.randrange(len(data))
    if number % 3 == 0:
        del broken[at:]
    elif number % 3 == 1:
        broken[at : at + 4000] = bytes(len(broken[at : at + 4000]))
    else:
        for _ in range(30):
            broken[chance.randrange(within)] = chance.randrange(256)
    return bytes(broken)
