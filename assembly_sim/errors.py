"""The error that every input problem becomes: where it is, what is wrong, what would be right."""

from __future__ import annotations

from dataclasses import dataclass

LONGEST = 500  # characters of a part of a message
LONGEST_QUOTE = 60  # characters of a line of a file, which may be a stranger's choice
MOST_PROBLEMS = 20  # that are printed; `problems` holds all


def visible(text: str) -> str:
    """Text as it may be printed: what steers a terminal or hides is shown as `\\x1b`, `\\u202e`.

    Line ends stay. Names, headings and titles of files come from anywhere.
    """
    if text.isprintable():
        return text
    return "".join(
        character if character == "\n" or character.isprintable() else ascii(character)[1:-1]
        for character in text
    )


def shortened(text: str, longest: int) -> str:
    """Text, or its start and `...` where it is longer."""
    return text if len(text) <= longest else f"{text[:longest]}..."


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
        parts = (place, shortened(self.field, LONGEST), shortened(self.cause, LONGEST))
        head = ": ".join(part for part in parts if part)
        text = f"{head}; {shortened(self.cure, LONGEST)}" if self.cure else head
        text = text.replace("\n", "\\n")
        if self.source_line:
            text += f"\n    {self.line} | {shortened(self.source_line.strip(), LONGEST_QUOTE)}"
        return visible(text)


class InputError(ValueError):
    """Raised for bad input; `problems` holds every one that was found (a tuple of `Problem`)."""

    def __init__(self, *problems: Problem) -> None:
        self.problems = problems
        shown = [str(problem) for problem in problems[:MOST_PROBLEMS]]
        if len(problems) > MOST_PROBLEMS:
            shown.append(f"... and {len(problems) - MOST_PROBLEMS} more of the kind")
        super().__init__("\n".join(shown))
