"""What a session teaches: faults shown before they are asked about, and the tempo with less and less guidance."""
