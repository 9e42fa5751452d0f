"""Why there can be no session with the files as they are."""


class NoSession(ValueError):
    """What is in the way, and what to do about it; in the message after its last colon."""

    def __init__(self, message: str) -> None:
        what, _, mend = message.rpartition(": ")
        self.what, self.mend = (what, mend) if what else (message, "")
        super().__init__(message)
