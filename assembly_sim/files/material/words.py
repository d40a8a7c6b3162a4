"""Materials found by the words of the trade, American and British (common practice, no source)."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from assembly_sim.model import Material, Sheet

# What people say, and words of which one stands in the name or among the kinds of a material
TRADE_WORDS: Mapping[str, tuple[str, ...]] = {
    **{"drywall": ("gypsum board",), "wallboard": ("gypsum board",), "plasterboard": ("gypsum b",)},
    **{"poly": ("polyethylene film",), "pe": ("polyethylene",), "epdm": ("epdm",)},
    **{"fiberglass": ("glass fibre",), "fibreglass": ("glass fibre",), "blown": ("loose",)},
    **{"rock": ("mineral wool",), "stone": ("mineral wool", "stone"), "slag": ("mineral wool",)},
    **{"beadboard": ("eps",), "polystyrene": ("eps", "xps")},
    **{"iso": ("polyiso",), "polyisocyanurate": ("polyiso",), "spf": ("spray foam",)},
    **{"ply": ("plywood",), "chipboard": ("particleboard",), "mdf": ("medium density",)},
    **{"lumber": ("spruce", "pine", "douglas fir"), "timber": ("spruce", "pine", "oak")},
    **{"stud": ("spruce", "pine", "douglas fir"), "joist": ("spruce", "pine", "douglas fir")},
    **{"rafter": ("spruce", "pine", "douglas fir"), "softwood": ("softwood", "spruce", "pine")},
    **{"housewrap": ("wrap",), "tar": ("asphalt",), "vb": ("retarder",), "barrier": ("retarder",)},
    **{"cinder": ("concrete block",), "cmu": ("concrete block",), "tin": ("steel sheet",)},
    **{"foil": ("foil", "aluminium"), "aluminum": ("aluminium",), "wool": ("wool",)},
}
_SPELLINGS = {"fiber": "fibre", "vapor": "vapour", "galvanized": "galvanised", "color": "colour"}


def search(text: str, known: Mapping[str, Material | Sheet]) -> list[str]:
    """Names of the materials and sheets that every word of `text` fits."""
    words = re.findall(r"[a-z0-9]+", text.lower())[:10]
    return [
        name
        for name, one in known.items()
        if words and all(_fits(word, _plain([name, *one.kinds])) for word in words)
    ]


def _fits(word: str, described: str) -> bool:
    """Whether a word, in British spelling and singular, stands in a description or means it."""
    word = _SPELLINGS.get(word, word)
    single = word.removesuffix("s") if len(word) > 3 else word
    meant = TRADE_WORDS.get(word) or TRADE_WORDS.get(single) or (single,)
    return any(f" {each}" in described for each in meant)


def _plain(texts: Iterable[str]) -> str:
    """Words with one space before each, hyphens and commas as spaces."""
    return " " + " ".join(re.findall(r"[a-z0-9.]+", " ".join(texts).lower()))
