"""The session: the script of what will happen, and the runner that says where the client is at a given time."""
