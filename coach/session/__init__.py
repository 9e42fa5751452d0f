"""The session: the script of what will happen, the runner that says where the client is at a given time, and what is
made of the two. Pure: time is passed in, and so is chance."""
