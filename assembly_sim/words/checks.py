"""What each check says, in words: its name in lists, its sentence, its lasting, its particulars."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from assembly_sim.checks.finding import Finding
from assembly_sim.checks.mould import HORIZON
from assembly_sim.words.figures import against, figure, limit_figure, say
from assembly_sim.words.spaces import the

Numbers = Mapping[str, float]


@dataclass(frozen=True)
class Telling:
    """How a check is told.

    kind: how its value and limit are written; title: its name in lists, of the system of units;
    sentence: with {value}, {limit} and {towards}; bound: what its limit is called.
    """

    kind: str
    sentence: str
    bound: str = "limit"
    title: str = ""
    title_ip: str = ""


TELLINGS: dict[str, Telling] = {
    "trend of water": Telling(
        "areal mass",
        "water {verb} by {value} in the last year (up to {limit} counts as settled)",
        "what counts as settled",
    ),
    "decay, mass loss of the wetter face": Telling(
        "per cent of mass",
        "wood loses {value} of its mass to decay, by the model for small pieces",
    ),
    "wood moisture": Telling(
        "moisture content", "wood moisture reaches {value} by mass (limit {limit})"
    ),
    "mould index": Telling("index", "mould index reaches {value} (limit {limit})"),
    "free water": Telling(
        "areal mass",
        "free water or frost reaches {value} ({bound} {limit})",
    ),
    "free water that stays": Telling(
        "areal mass", "{value} of free water or frost are left all year (limit {limit})"
    ),
    "freeze-thaw cycles above critical saturation": Telling(
        "cycles", "{value} of frost and thaw a year in masonry wetter than its critical saturation"
    ),
    "wet hours": Telling(
        "hours", "wet for {value} of a year (counts as wet from {limit})", "what counts as wet"
    ),
    "condensation-risk hours": Telling(
        "hours", "{value} of condensation risk in a year (limit {limit})"
    ),
    "months of humid surface": Telling(
        "months", "{value} of the last year with a humid surface towards {towards}"
    ),
    "hours below 0 degC": Telling(
        "hours",
        "{value} of the last year below freezing",
        title="hours below 0 degC",
        title_ip="hours below 32 degF",
    ),
    "time of wetness of metal": Telling(
        "hours",
        "metal would be wet for {value} of the last year (limit of corrosion class tau3 {limit})",
    ),
    "surface condensation": Telling(
        "hours",
        "{value} of the last year with dew on the surface towards {towards}",
        "what counts as wet",
    ),
    "coldest hour of the surface": Telling("degrees Celsius", "the surface is as cold as {value}"),
    "surface temperature factor": Telling(
        "factor", "surface temperature factor {value} (at least {limit}, ISO 13788)"
    ),
}


# What is said of a year, and what of a run that holds none: a window, or one that stopped
OF_RUN = (
    ("the last year", "the run"),
    ("last year's mean", "mean of the run"),
    ("does not dry within the year", "there in every hour of the run"),
    ("dries within the year", "gone in some hour of the run"),
    ("left all year", "there in every hour of the run"),
    ("highest monthly mean", "highest mean of a month, or of the part of it that ran,"),
    (" thaw a year in ", " thaw in the run in "),
    (" of a year", " of the run"),
    (" in a year", " in the run"),
)


def of_run(text: str, short: bool) -> str:
    """A text that speaks of a year; of the run, where that was short of one."""
    for year, run in OF_RUN if short else ():
        text = text.replace(year, run)
    return text


def is_short(finding: Finding) -> bool:
    """Whether a finding is of a run that holds no whole year."""
    return "no_year" in dict(finding.counts)


def title(finding: Finding, system: str = "si") -> str:
    """The name of a check in a list."""
    told = TELLINGS[finding.check]
    return (told.title_ip if system == "ip" else told.title) or finding.check


def place_and_path(finding: Finding) -> str:
    """Where it was found."""
    return f"{finding.place} ({finding.path} path)" if finding.path else finding.place


def value_and_limit(finding: Finding, system: str = "si") -> tuple[str, str]:
    """Value and limit as text, told apart where they differ; a dash for what there is not."""
    kind, value, limit = TELLINGS[finding.check].kind, finding.value, finding.limit
    if value is None:
        return "-", "-"
    if limit is None:
        return figure(value, kind, system), "-"
    return against(value, limit, kind, system)


def when(finding: Finding) -> str:
    """Month and year of a finding, `March of year 1`, or as much of it as there is."""
    month = month_name[finding.month] if finding.month else ""
    year = f"year {finding.year}" if finding.year and not is_short(finding) else ""
    return " of ".join(filter(None, (month, year)))


def sentence(finding: Finding, system: str = "si") -> str:
    """What a check found, in a sentence without its place."""
    value, limit = value_and_limit(finding, system)
    told = {
        "bound": "wet from" if dict(finding.counts).get("tender", 1.0) else "runs off from",
        "verb": "falls" if (finding.value or 0.0) < 0.0 else "rises",
        "towards": the(finding.towards),
    }
    if finding.check == "trend of water":
        value = value.removeprefix("-")
    if finding.check == "decay, mass loss of the wetter face" and not finding.value:
        return "no loss of mass to decay, by the model for small pieces"
    if finding.check == "decay, mass loss of the wetter face" and (finding.value or 0.0) >= 100.0:
        return "wood loses all of its mass to decay, by the model for small pieces"
    text = TELLINGS[finding.check].sentence.format(value=value, limit=limit, **told)
    if "since_first" in (numbers := dict(finding.counts)):  # real years
        since = "since the first year" if numbers["since_first"] else "in the last year"
        text = text.replace("in the last year", f"{since}, each under its own weather")
    return of_run(text, is_short(finding))


def distance(finding: Finding, system: str = "si") -> str:
    """How far a value lies from its limit, in words: `4.6 points above its limit of 20 %`."""
    told, margin = TELLINGS[finding.check], finding.margin
    if margin is None or finding.value is None or finding.limit is None or not finding.limit:
        return ""
    name = f"its {told.bound}" if told.bound == "limit" else told.bound
    limit = limit_figure(finding.limit, told.kind, system)
    if margin == 0.0:
        return f"at {name} of {limit}" if told.bound == "limit" else f"at {name}, {limit}"
    above = finding.value > finding.limit
    gap = figure(abs(margin), told.kind, system, _finer(margin, told.kind, system))
    gap = gap.replace(" %", " points") if told.kind == "moisture content" else gap
    told_limit = f"of {limit}" if told.bound == "limit" else f"({limit})"
    return f"{gap} {'above' if above else 'below'} {name} {told_limit}"


def _finer(gap: float, kind: str, system: str) -> int:
    """Decimals to add until a gap is not written as nothing."""
    more = 0
    while more < 4 and not float(figure(abs(gap), kind, system, more).split()[0]):
        more += 1
    return more


def days(hours: float) -> str:
    """A length of time as it is said."""
    return f"{hours:.0f} h" if hours < 72.0 else f"{hours / 24.0:.0f} days"


def _moist_for(numbers: Numbers) -> str:
    over = f", above the limit for {days(numbers['hours_over_limit'])} of that year"
    decay = numbers["hours_over_decay_moisture"]
    bound = limit_figure(numbers.get("decay_moisture", 0.26), "moisture content")
    return f"{over} and above {bound} for {days(decay)}" if decay else over


LASTING: dict[str, Callable[[Numbers], str]] = {
    "wood moisture": _moist_for,
    "mould index": lambda numbers: (
        f", at or above the limit for {days(numbers['hours_over_limit'])} of the run"
    ),
}


def ahead(numbers: Numbers, limit: float) -> str:
    """Where an index leads that still rises."""
    index, year = numbers["projected_index"], numbers["projected_year"]
    if index < limit:
        return f", and still rises: to {index:.2f} in {HORIZON} years like the last"
    return (
        f", and still rises: it would reach {limit:g} in year {year:.0f} if each is like the last"
    )


def reason(finding: Finding, better_now: bool, from_start: bool, system: str = "si") -> str:
    """A finding that decides in a sentence: place, value, limit, when, how long, what is ahead.

    better_now: the last year of the run allows a better level; from_start: past its limit in the
    first year alone and by its starting moisture, which is not counted as past it.
    """
    value, limit, numbers = finding.value or 0.0, finding.limit or 0.0, dict(finding.counts)
    text = f"{place_and_path(finding)}: {sentence(finding, system)}"
    if finding.month is not None and value and finding.year:
        text += f", in {when(finding)}"
    if finding.check in LASTING and value >= limit:
        text += LASTING[finding.check](numbers)
    if "projected_index" in numbers and value < limit:
        text += ahead(numbers, limit)
    if from_start:
        text += "; it dries from its start and is not past the limit again"
    if better_now and finding.settled is not None:
        text += f"; in the last year {in_last_year(finding, system)}"
    return text


def in_last_year(finding: Finding, system: str = "si") -> str:
    """The value of the last year of the run alone."""
    assert finding.settled is not None
    settled = figure(finding.settled, TELLINGS[finding.check].kind, system)
    return f"at most {settled}" if finding.check == "mould index" else settled


def particulars(finding: Finding, system: str = "si") -> str:
    """What else a check counted, in words; why it was not made where it was not."""
    numbers = dict(finding.counts)
    made = PARTICULARS.get(finding.check, lambda numbers, system: iter(()))
    told = list(made(numbers, system)) if finding.value is not None else []
    told = [of_run(one, is_short(finding)) for one in told]
    return "; ".join([*filter(None, (say(finding.note, system),)), *told])


def _of_wet_hours(numbers: Numbers, system: str) -> Iterator[str]:
    yield f"longest wet spell of the last year {numbers['longest_wet_spell']:.0f} h"


def _of_free_water(numbers: Numbers, system: str) -> Iterator[str]:
    if not numbers["any_in_last_year"]:
        yield "none in the last year"
        return
    yield "dries within the year" if numbers["dries"] else "does not dry within the year"
    if numbers["runs_off"]:
        yield "more than the face can hold, runs off"


def _of_humidity(numbers: Numbers, system: str) -> Iterator[str]:
    yield f"highest humidity {100.0 * numbers['highest_humidity']:.0f} %"


def _of_wood(numbers: Numbers, system: str) -> Iterator[str]:
    steps = (
        ("hours_over_limit", "wood_moisture"),
        ("hours_over_decay_moisture", "decay_moisture"),
        ("hours_over_saturated_moisture", "saturated_moisture"),
    )
    yield ", ".join(
        f"{numbers[hours]:.0f} h above {100.0 * numbers[bound]:g} %" for hours, bound in steps
    )
    yield f"wettest face {100.0 * numbers['wettest_face']:.0f} %"
    yield (
        f"last year's mean {100.0 * numbers['mean_of_last_year']:.1f} %, solid wood by the Wood "
        f"Handbook would hold {100.0 * numbers['handbook_moisture']:.1f} %"
    )


def _of_cycles(numbers: Numbers, system: str) -> Iterator[str]:
    yield (
        f"{numbers['cycles_of_run']:.0f} cycles in the run, {numbers['humid_cycles']:.0f} of them "
        f"above {100.0 * numbers['humid_from']:g} % humidity"
    )


def _of_depth(numbers: Numbers, system: str) -> Iterator[str]:
    yield f"coldest hour {figure(numbers['coldest_hour'], 'temperature', system)}"


def _of_months(numbers: Numbers, system: str) -> Iterator[str]:
    yield (
        f"highest monthly mean {100.0 * numbers['highest_month']:.0f} %, "
        f"limit {100.0 * numbers['month_limit']:g} %"
    )


def _of_trend(numbers: Numbers, system: str) -> Iterator[str]:
    peaks = [number for name, number in numbers.items() if name.startswith("peak_of_year")]
    weather = ", each under its own weather" if "since_first" in numbers else ""
    shown = ", ".join(figure(peak, "areal mass", system) for peak in peaks)
    yield f"yearly peaks {shown}{weather}"


PARTICULARS: dict[str, Callable[[Numbers, str], Iterator[str]]] = {
    "wet hours": _of_wet_hours,
    "free water": _of_free_water,
    "condensation-risk hours": _of_humidity,
    "wood moisture": _of_wood,
    "freeze-thaw cycles above critical saturation": _of_cycles,
    "hours below 0 degC": _of_depth,
    "months of humid surface": _of_months,
    "trend of water": _of_trend,
}
