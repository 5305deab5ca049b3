"""The error that asks: a column may mean two things, and a person has to say which."""

from pathlib import Path

from steadyhead.words.errors import InputError


class UnsureColumns(InputError):
    """A column that matters could not be told apart; the sentence gives the option to paste."""

    def __init__(self, source: str, *, read: str, options: tuple[str, ...]) -> None:
        self.options = options
        said = " or ".join(f'--column "{option}"' for option in options)
        super().__init__(Path(source).name, read=read, right=f"a word from you which it is, for example {said}")
