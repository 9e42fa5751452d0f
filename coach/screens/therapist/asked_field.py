"""The field of a form for a value of a file."""

from coach.screens.widgets.form import Field
from coach.toml.expected import Expected
from coach.toml.input_parsing import describe_input


def asked_field(key: str, label: str, typed: str, here: Expected | None, how: str = "") -> Field:
    """A field with a hint on what is expected here, or with another one; for a number it is short."""
    name = key.rpartition(".")[2]
    return Field(key, label, typed, how or describe_input(here, name), short=here is not None and here.is_number)
