"""Which columns and analytes that a columns file speaks of are in the files."""

from chemcheck.errors import Problem, not_one_of
from chemcheck.intake.choices import Choices, plain_title
from chemcheck.intake.long_columns import plan_long
from chemcheck.intake.table import TextTable


class UsedChoices:
    """The titles and names of files, held against those of a columns file.

    Parameters
    ----------
    choices : Choices
        What the user settled.
    """

    def __init__(self, choices: Choices) -> None:
        self.choices = choices
        self.titles: dict[str, None] = {}
        self.names: dict[str, None] = {}

    def note(self, table: TextTable) -> None:
        """Note the titles of a file, and what a long table names in its rows."""
        self.titles |= dict.fromkeys(title for title in table.layout.header if title)
        plan = plan_long(table, self.choices) if self.choices.analytes else None
        if plan is not None:
            texts = table.coded(plan.places["parameter"])[0].to_pylist()
            self.names |= dict.fromkeys(text.strip() for text in texts if text and text.strip())

    def problems(self) -> list[Problem]:
        """Return a line for each column and analyte that no file has."""
        file = self.choices.file or ""
        titles, names = (set(map(plain_title, one)) for one in (self.titles, self.names))
        columns = [
            (title, choice.line)
            for choice in self.choices.columns.values()
            for title in (choice.title, *(title for _, title in choice.companions))
            if plain_title(title) not in titles
        ]
        said = [
            Problem(file, line, title, "", _not_there(title, list(self.titles), "column"))
            for title, line in columns
        ]
        return said + [
            Problem(file, one.line, one.title, "", _not_there(one.title, list(self.names), "name"))
            for one in self.choices.analytes.values()
            if plain_title(one.title) not in names
        ]


def _not_there(name: str, known: list[str], what: str) -> str:
    return not_one_of(name, known, what).replace("known here", "of these files")
