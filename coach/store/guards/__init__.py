"""What keeps a client's files from being lost without anybody knowing: what is missed, and what is then done."""
