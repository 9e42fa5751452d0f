"""The progression rules: pure functions from a client's progress and a session record to one decision."""
