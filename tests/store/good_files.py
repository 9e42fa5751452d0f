"""One client's files as a person writes them: right, and right for each other. Tests spoil them at one place."""

PROFILE = """\
format = 1
name = "rowan"
side = "right"
stature_m = 1.72
mass_kg = 68

[home]
anchor_heights_cm = [100, 120]
nearest_cm = 60
farthest_cm = 250

[[bands]]
name = "light"
looks = "the thin one"
resting_length_m = 1.2
points = [
  { length_m = 1.8, force_n = 12.0 },
  { length_m = 2.4, force_n = 20 },
]

[[bands]]
name = "heavy"
looks = "the thick one"
resting_length_m = 1.2
points = [{ length_m = 1.8, force_n = 31.0 }]

[[ranges]]
position = "0"
available_deg = 70
on = 2026-03-01
"""

PRESCRIPTION = """\
format = 1
exercise = "external_rotation"
goal = "reach the top shelf"
positions = [0, 45]
initials = "AB"
on = 2026-03-01

[dose]
sets = 3
repetitions_min = 8
repetitions_max = 15
rest_s = 60
count_in_s = 5
days_a_week = 3

[dose.tempo]
out_s = 2
hold_s = 1
back_s = 3
relax_s = 1

[limits]
pain_max = 4

[first_step]
grade = "light"
strands = 1
distance_cm = 150

[[sign_offs]]
at = 2026-03-08T10:00:00+01:00
initials = "AB"
what = "unlock_position"
position = "45"
reason = "full range, clean"

[[setups]]
position = "45"
anchor_height_cm = 100
"""
