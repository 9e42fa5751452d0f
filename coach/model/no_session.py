"""The error of a client for whom no session can be made."""


class NoSession(ValueError):
    """The files are right by themselves, but no session can be made from them.

    The message says what is in the way and, after its last colon, how to fix it.
    """

    def __init__(self, message: str) -> None:
        """Take the message apart into `what` and `fix`."""
        what, _, fix = message.rpartition(": ")
        self.what, self.fix = (what, fix) if what else (message, "")
        super().__init__(message)
