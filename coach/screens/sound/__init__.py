"""What is heard: tones of our own, played by what the machine has. Every meaning is on the screen as well."""
