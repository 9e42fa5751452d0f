"""A client's folder: everything that is read from it and written into it."""
