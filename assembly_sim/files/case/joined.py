"""What joins in a house: names filled in that follow from others, and each that leads nowhere.

`joined` says what an assembly, an opening or a duct leaves to the house: the first room, the part
of the roof, the assembly that an opening is on. `join_problems` finds all that does not join, with
the place of each, since the model would tell the first alone and without a line.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from assembly_sim.files.case.house_schema import OpeningText
from assembly_sim.files.case.lines import Path
from assembly_sim.files.case.roof import Found, with_roof
from assembly_sim.files.case.room import AsText, BalanceText
from assembly_sim.files.case.schema import AssemblyText, CaseFile
from assembly_sim.files.words import nearest
from assembly_sim.model.assembly import OUTDOORS

RULES = ("temperature", "humidity")


def joined(checked: CaseFile) -> CaseFile:
    """The case with all said that follows from its other entries."""
    house = with_roof(checked)
    room = house.room.name
    assemblies = [_inside(one, room) for one in house.assembly]
    by_name = {one.name: one for one in assemblies}
    openings = [_inside(_on(one, by_name.get(one.on or "")), room) for one in house.opening]
    taken = {one.name for one in house.fan if one.name}
    fans = [
        one if one.name else one.model_copy(update={"name": _numbered("fan", taken)})
        for one in house.fan
    ]
    ducts = [one if one.room else one.model_copy(update={"room": room}) for one in house.ducts]
    update = {"assembly": assemblies, "opening": openings, "fan": fans, "ducts": ducts}
    return house.model_copy(update=update)


def _inside(text: Any, room: str) -> Any:
    return text if text.inside else text.model_copy(update={"inside": room})


def _numbered(word: str, taken: set[str]) -> str:
    """A name that none has, which is then taken."""
    names = (word if number == 1 else f"{word} {number}" for number in range(1, 1000))
    name = next(one for one in names if one not in taken)
    taken.add(name)
    return name


def _on(text: OpeningText, assembly: AssemblyText | None) -> OpeningText:
    """The opening with what the assembly it is on tells of it; what it says itself stays."""
    if assembly is None:
        return text
    told: dict[str, Any] = {"inside": assembly.inside, "outside": assembly.outside}
    if "height" in assembly.model_fields_set:
        told["height"] = assembly.height
    own = text.model_fields_set
    if not assembly.is_sheltered and not own & {"facing", "tilt", "outside"}:
        told |= {"facing": assembly.azimuth or 0.0, "tilt": assembly.tilt}
    return text.model_copy(update={name: one for name, one in told.items() if name not in own})


def spaces(house: CaseFile) -> dict[str, Path]:
    """Rooms and zones by name, and where each stands; of two with one name the first."""
    listed = [
        (house.room.name, ("room",)),
        *((one.name, ("other_room", number)) for number, one in enumerate(house.other_room)),
        *((one.name, ("zone", number)) for number, one in enumerate(house.zone)),
    ]
    found: dict[str, Path] = {}
    for name, path in listed:
        found.setdefault(name, path)
    return found


def join_problems(house: CaseFile) -> list[Found]:
    """All that does not join in a case that `joined` has filled in."""
    found = [*_taken_twice(house), *_lost_names(house), *_followed_in_a_ring(house)]
    found += [*_openings(house), *_ducts(house)]
    return found or [*_lost_zones(house)]


def _taken_twice(house: CaseFile) -> Iterator[Found]:
    rooms = [(("room",), house.room), *_items(house, "other_room")]
    yield from _twice("space", [((), OUTDOORS), *_named([*rooms, *_items(house, "zone")])])
    for word in ("opening", "fan", "ducts", "pipe"):
        yield from _twice(word, _named(_items(house, word)))


def _items(house: CaseFile, word: str) -> list[tuple[Path, Any]]:
    return [((word, number), one) for number, one in enumerate(getattr(house, word))]


def _named(items: Sequence[tuple[Path, Any]]) -> list[tuple[Path, str]]:
    return [(path, one.name) for path, one in items]


def _twice(what: str, named: Sequence[tuple[Path, str]]) -> Iterator[Found]:
    counts: Counter[str] = Counter()
    for path, name in named:
        if counts[name]:
            told = f"there is another {what} called '{name}'"
            yield (*path, "name"), told, "give each its own name"
        counts[name] += 1


def _lost_names(house: CaseFile) -> Iterator[Found]:
    """Ends that are no space, and what leads from a space to itself."""
    known = [OUTDOORS, *spaces(house)]
    for path, one in [*_items(house, "assembly"), *_items(house, "opening")]:
        word = "lies" if path[0] == "assembly" else "leads"
        yield from _ends(path, one, ("inside", one.inside), ("outside", one.outside), word, known)
        if one.inside == OUTDOORS:
            cure = "name the space inside, and outdoors outside"
            yield (*path, "inside"), "it has outdoors inside", cure
    for path, one in _items(house, "fan"):
        yield from _ends(path, one, ("from", one.source), ("to", one.target), "blows", known)


def _ends(
    path: Path,
    one: Any,
    first: tuple[str, str],
    second: tuple[str, str],
    word: str,
    known: Sequence[str],
) -> Iterator[Found]:
    for entry, name in (first, second):
        if name not in known:
            cure = nearest(name, known) or f"name one of {', '.join(known)}"
            yield (*path, entry), f"there is no space '{name}'", cure
    if first[1] == second[1]:
        cause = f"it {word} from {first[1]} to {second[1]}: it joins nothing"
        yield (*path, second[0]), cause, f"name two spaces: {', '.join(known)}"


def _openings(house: CaseFile) -> Iterator[Found]:
    names = [one.name for one in house.assembly]
    for path, one in _items(house, "opening"):
        wetted = one.wets and (one.wets.assembly or one.on)
        if one.wets is not None and wetted is None:
            cure = 'write wets = { assembly = "NAME", layer = "NAME" }, or add on = "NAME"'
            yield (*path, "wets"), "it does not say of which assembly", cure
        if one.on is not None and one.on not in names:
            cure = nearest(one.on, names) or f"there are {', '.join(names)}"
            yield (*path, "on"), f"there is no assembly '{one.on}'", cure
        elif one.height is None:
            told = f"add a height here or to '{one.on}'" if one.on else "add height, or on"
            yield path, "its height is not known", f'{told}: height = "2.5 m" above the ground'
        if one.outside != OUTDOORS and one.model_fields_set & {"facing", "tilt"}:
            entry = "facing" if one.facing is not None else "tilt"
            yield (*path, entry), f"no wind presses from {one.outside}", "leave it out"


def _ducts(house: CaseFile) -> Iterator[Found]:
    zones = [one.name for one in house.zone]
    rooms = [house.room.name, *(one.name for one in house.other_room)]
    for path, one in _items(house, "ducts"):
        for entry, known, word in (("zone", zones, "zone"), ("room", rooms, "room")):
            name = getattr(one, entry)
            if name not in known:
                cure = nearest(name, known) or f"name one of {', '.join(known) or 'the zones'}"
                yield (*path, entry), f"there is no {word} '{name}'", cure
    for path, one in _items(house, "pipe"):
        if one.zone not in zones:
            cure = nearest(one.zone, zones) or f"name one of {', '.join(zones) or 'the zones'}"
            yield (*path, "zone"), f"there is no zone '{one.zone}'", cure


def _lost_zones(house: CaseFile) -> Iterator[Found]:
    """Zones that nothing joins, and spaces whose air has openings or fans and no way outdoors."""
    rooms = [house.room.name, *(one.name for one in house.other_room)]
    ways = [(one.inside or "", one.outside) for one in house.assembly]
    warm = _reached({OUTDOORS, *rooms}, ways)
    where = spaces(house)
    for zone in house.zone:
        if zone.name not in warm:
            cure = f'let an assembly have inside = "{zone.name}" or outside = "{zone.name}"'
            cause = "no assembly joins it to a room or to outdoors"
            yield where[zone.name], cause, cure
    openings = [(one.inside or "", one.outside) for one in house.opening]
    leaks = [(one.inside or "", one.outside) for one in house.assembly if leaks_air(one)]
    fans = [(one.source, one.target) for one in house.fan]
    airy = _reached({OUTDOORS}, [*openings, *leaks])
    for name in dict.fromkeys(end for way in [*openings, *fans] for end in way):
        if name not in airy and name != OUTDOORS:
            cause = f"no opening or leak leads from '{name}' outdoors, near or far"
            yield where[name], cause, "give it an opening, or an assembly of it a leak"


def leaks_air(text: AssemblyText) -> bool:
    """Whether an assembly has a leak: its own, or the usual one where it says nothing."""
    return text.leak is not None or "leak" not in text.model_fields_set


def _reached(found: set[str], ways: Sequence[tuple[str, str]]) -> set[str]:
    """The spaces that ways join to those found, near or far."""
    more = {end for way in ways for end in way if set(way) & found} - found
    return _reached(found | more, ways) if more else found


def rule_text(house: CaseFile, at: Path, entry: str) -> tuple[Any, Path]:
    """A room's rule and where it stands, that of the room it follows; it leads in no ring."""
    text = _room(house, at)
    rule = getattr(text, entry)
    if not isinstance(rule, AsText):
        return rule, at
    return rule_text(house, _rooms(house)[rule.other], entry)


def _rooms(house: CaseFile) -> dict[str, Path]:
    return {name: path for name, path in spaces(house).items() if path[0] != "zone"}


def _room(house: CaseFile, at: Path) -> Any:
    return house.room if at[0] == "room" else house.other_room[int(at[1])]


def _followed_in_a_ring(house: CaseFile) -> Iterator[Found]:
    """Rooms that follow none, or themselves in the end, or a moisture balance, which is of one."""
    rooms = _rooms(house)
    for name, at in rooms.items():
        for entry in RULES:
            rule, seen = getattr(_room(house, at), entry), [name]
            while isinstance(rule, AsText) and rule.other in rooms and rule.other not in seen:
                seen.append(rule.other)
                rule = getattr(_room(house, rooms[rule.other]), entry)
            if isinstance(rule, AsText) and rule.other in seen:
                ring = " as ".join([*seen, rule.other])
                cure = "give one of them a rule of its own"
                yield (*at, entry), f"it goes round in a ring: {ring}", cure
            elif isinstance(rule, AsText):
                cure = nearest(rule.other, rooms) or f"there are {', '.join(rooms)}"
                yield (*at, entry), f"there is no room '{rule.other}'", cure
            elif isinstance(rule, BalanceText) and len(seen) > 1:
                cure = "give it a rule of its own"
                yield (*at, entry), "a moisture balance is that of one room", cure
