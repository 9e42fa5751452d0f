"""The commands between the clinic and home: what is taken home, how it begins there, and where clients are."""
