"""The clients of this computer: where they are, and how one comes home from the clinic."""
