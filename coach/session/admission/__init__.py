"""Whether a session may start now, and what the client's conditions and a bad day mean for it."""
