"""One visit: its form, and the page on which it is filled in and signed."""
