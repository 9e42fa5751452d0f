"""The files of sessions: how they are written, marked and read, and what is missing or damaged among them."""
