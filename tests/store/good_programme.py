"""The programme of one client of four exercises: right, and right for the demo client curlew. Tests spoil it."""

PROGRAMME = """\
#:schema ../../../content/schema/programme.json
# What the therapist (initials KB, Harbour Lane clinic, invented) set: four exercises, in this order.
format = 2
goal = "sew a whole sail, and row on Sundays"
initials = "KB"
on = 2026-11-09

# The dose of every exercise below that has none of its own.
[dose]
sets = 2
repetitions_min = 8
repetitions_max = 12
rest_s = 60
count_in_s = 10
days_a_week = 3

[dose.tempo]
out_s = 3.0
hold_s = 2.0
back_s = 3.0
relax_s = 2.0

[[exercises]]
name = "outward_right"
exercise = "external_rotation"
side = "right"
positions = [0, 45]

[[exercises]]
name = "outward_left"
exercise = "external_rotation"
side = "left"
positions = [0]

[[exercises]]
name = "inward_right"
exercise = "internal_rotation"
side = "right"
positions = [0]

[[exercises]]
name = "row_right"
exercise = "row"
side = "right"
positions = [0]
days = ["monday", "wednesday", "friday", "saturday"]
"""
