"""The names of the looks: dark, light, and with high contrast. Apart, so that `--help` needs nothing else."""

from typing import Literal

ThemeName = Literal["dusk", "day", "contrast"]
