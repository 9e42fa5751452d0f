"""Body, arm, band, load, ladder, setup: pure numbers in, pure numbers out."""
