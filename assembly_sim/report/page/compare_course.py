"""The deciding plane of each option over the last year, on one axis."""

from __future__ import annotations

from calendar import month_abbr

import numpy as np

from assembly_sim.report.compare.sentences import worst
from assembly_sim.report.page.compare_spots import keys, listed
from assembly_sim.report.page.content import Absent, Cell, Column, DataTable, Figure
from assembly_sim.report.page.palette import SIDE_BY_SIDE, STROKES
from assembly_sim.report.page.plots import Curves, Limit, Panel, Series, Tick
from assembly_sim.studies.compare import Compared, OptionFound
from assembly_sim.studies.wet_course import Course

NAME = 34  # letters of a name in the legend
TITLE = "The deciding plane over the last year"
Told = tuple[str, OptionFound, Course]


def deciding_courses(found: Compared) -> list[Told]:
    """Label, option and course of the part that decides each option; none where it has none."""
    told = []
    for (number, name), one, some in zip(keys(found), found.options, found.courses):
        part = worst(one)
        course = next((each for each in some if part and each.part == part.part), None)
        if course is not None:
            told.append((f"{number} {name}", one, course))
    return told


def course_figure(found: Compared) -> Figure | Absent:
    """Daily means of humidity, a line an option."""
    told = deciding_courses(found)
    if not told:
        return Absent(TITLE, "no option was computed for a day")
    drawn = _drawn(found, told)
    risk = 100.0 * found.asked.case.thresholds.condensation_humidity
    series = tuple(
        _series(label, course, role, stroke)
        for (label, _, course), role, stroke in zip(drawn, SIDE_BY_SIDE, STROKES)
    )
    low = min(float(one.y.min()) for one in series)
    return Figure(
        name="courses",
        title=TITLE,
        says=course_says(told, risk),
        reading=_reading(len(told) - len(drawn), risk),
        plot=Curves(
            (
                Panel(
                    "relative humidity, mean of a day, % (below freezing: over ice)",
                    series,
                    (Limit(risk, f"{risk:g} %"),),
                    bottom=float(10.0 * np.floor(low / 10.0)),
                    top=max(102.0, max(float(one.y.max()) for one in series)),
                ),
            ),
            month_ticks(drawn[0][2]),
        ),
        table=course_table(told, risk),
    )


def _reading(left: int, risk: float) -> str:
    text = (
        "For each option the plane at which the level of its worst part is decided, which need not "
        f"be the same plane; the table names it. From {risk:g} % an hour is one of condensation "
        "risk, at 100 % there is dew or frost."
    )
    more = f" {left} more options, the last in rank, are in the table alone."
    return text + more if left else text


def _drawn(found: Compared, told: list[Told]) -> list[Told]:
    """As many as there are strokes: the house as found, then the best, in the file's order."""
    order = [found.as_found, *(found.options[number] for number in found.ranked)]
    kept = [one.option.name for one in order[: len(STROKES)]]
    return [one for one in told if one[1].option.name in kept]


def _series(label: str, course: Course, role: str, stroke: str) -> Series:
    short = label if len(label) <= NAME else f"{label[: NAME - 3]}..."
    days = np.arange(len(course.humidity), dtype=float) + 0.5
    return Series(short, days, 100.0 * course.humidity, role, stroke)


def month_ticks(course: Course) -> tuple[Tick, ...]:
    """First days of months; a month that ends and begins the year is told once."""
    starts = np.flatnonzero(np.diff(course.month, prepend=-1))
    return tuple((float(at), month_abbr[int(course.month[at])]) for at in starts[:12])


def course_says(told: list[Told], risk: float) -> str:
    """In which option the deciding plane is at risk for most hours, and in which for fewest."""
    most = max(one[2].hours_at_risk for one in told)
    least = min(one[2].hours_at_risk for one in told)
    if not most:
        return f"In no option does the plane that decides reach {risk:g} % humidity in this year."

    def names(hours: int) -> str:
        return listed([one.option.name for _, one, course in told if course.hours_at_risk == hours])

    if most == least:
        each = f"{most} hours of the last year"
        return f"The plane that decides is at {risk:g} % humidity or more for {each} in each."
    lowest = f"{least} hours" if least else "none"
    return (
        f"At {risk:g} % humidity or more the plane that decides spends {most} hours of the last "
        f"year with {names(most)}, and {lowest} with {names(least)}."
    )


def course_table(told: list[Told], risk: float) -> DataTable:
    """Monthly means and hours at risk, a row an option."""
    months = list(dict.fromkeys(m for _, _, course in told for m in course.month.tolist()))
    rows = tuple(_row(label, course, months) for label, _, course in told)
    columns = (
        *(Column("option"), Column("plane"), Column(f"hours at {risk:g} % or more", 0)),
        *(Column(f"{month_abbr[month]}, %", 0) for month in months),
    )
    return DataTable("courses", "Humidity of the deciding plane by month", columns, rows)


def _row(label: str, course: Course, months: list[int]) -> tuple[Cell, ...]:
    means: list[Cell] = []
    for month in months:
        days = course.humidity[course.month == month]
        means.append(100.0 * float(days.mean()) if len(days) else None)
    place = f"{course.part}: {course.place}{'' if course.decides else ', the most humid'}"
    return (label, place, course.hours_at_risk, *means)
