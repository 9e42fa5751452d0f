"""What the therapist writes into a client's folder: intake, measured points, instructions, and their checks."""
