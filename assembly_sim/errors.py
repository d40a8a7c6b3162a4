"""The error that every input problem becomes: where it is, what is wrong, what would be right."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Problem:
    """One thing wrong with an input: place, cause and cure, printable on one line.

    `file` is the path as the user gave it, `line` counts from 1 (None where there is no line),
    `field` names the entry in the user's own words, `cause` says what is wrong and `cure` what
    would be right.
    """

    cause: str
    cure: str = ""
    file: str = ""
    line: int | None = None
    field: str = ""
    source_line: str = ""

    def __str__(self) -> str:
        place = self.file + (f":{self.line}" if self.line is not None else "")
        head = ": ".join(part for part in (place, self.field, self.cause) if part)
        text = f"{head}; {self.cure}" if self.cure else head
        if self.source_line:
            text += f"\n    {self.line} | {self.source_line.strip()}"
        return text


class InputError(ValueError):
    """Raised for bad input; `problems` holds every one that was found (a tuple of `Problem`)."""

    def __init__(self, *problems: Problem) -> None:
        self.problems = problems
        super().__init__("\n".join(str(problem) for problem in problems))
