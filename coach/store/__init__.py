"""Clients' folders: everything that is read from them and written into them."""
