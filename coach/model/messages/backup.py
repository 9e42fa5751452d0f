"""en/backup.toml: what a backup says before it is written, and what was taken back from one."""

from coach.model.base import Line
from coach.model.messages.base_messages import PageWords


class BackupWords(PageWords):
    """What a backup says on the terminal, before it writes and when it is taken back."""

    file = "backup.toml"

    holds: Line
    client: Line
    health: Line
    written: Line
    restored: Line
