"""What was written on several computers: in which order it counts, and what does not count yet."""
