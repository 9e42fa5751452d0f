"""The input for an invented client, field by field; common values are left as they are."""

TYPED = {
    "profile.side": "right",
    "profile.stature_m": "1.68",
    "profile.mass_kg": "64",
    "profile.home.anchor_heights_cm": "95 105 120",
    "profile.bands.1.name": "striped",
    "profile.bands.1.looks": "thin, striped",
    "profile.bands.1.resting_length_m": "0.7",
    "profile.bands.1.points": "0.875 4.8, 1.05 6.7, 1.4 10.3",
    "profile.bands.2.name": "knotted",
    "profile.bands.2.looks": "thick, with a knot",
    "profile.bands.2.resting_length_m": "0.7",
    "profile.bands.2.points": "0.875 6.2, 1.05 9.7, 1.4 14.1",
    "prescription.goal": "lift a kiln shelf",
    "prescription.initials": "KB",
    "profile.ranges.0.available_deg": "62",
    "profile.strengths.0.force_n": "52",
    "profile.strengths.0.lever_m": "0.24",
}
