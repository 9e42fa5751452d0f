"""Sound: generated tones and spoken words, played by programs of the machine. The screen shows the same."""
