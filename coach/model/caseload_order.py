"""The orders in which a caseload can be put. Apart, so that `--help` needs nothing else."""

from typing import Literal

CaseOrder = Literal["need", "client", "seen", "load", "pain", "kept"]
