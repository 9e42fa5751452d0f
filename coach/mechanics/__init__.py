"""The mechanics: body, arm, anchor, band, torque, load ladder and setup, as pure functions and frozen data."""
