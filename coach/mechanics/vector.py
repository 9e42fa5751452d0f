"""Points and directions as three floats in the body frame: forward, outward, up."""

import math

Vector = tuple[float, float, float]
"""(x forward, w outward to the exercising side, z up); origin on the floor between the feet; metres if a point."""

MARK_M: Vector = (0.0, 0.0, 0.0)
"""The floor mark, between the client's feet."""


def plus(one: Vector, other: Vector) -> Vector:
    """The sum of two vectors."""
    return (one[0] + other[0], one[1] + other[1], one[2] + other[2])


def minus(one: Vector, other: Vector) -> Vector:
    """The vector from `other` to `one`."""
    return (one[0] - other[0], one[1] - other[1], one[2] - other[2])


def times(factor: float, vector: Vector) -> Vector:
    """A vector made `factor` times as long."""
    return (factor * vector[0], factor * vector[1], factor * vector[2])


def dot(one: Vector, other: Vector) -> float:
    """The scalar product of two vectors."""
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def size(vector: Vector) -> float:
    """The length of a vector."""
    return math.sqrt(dot(vector, vector))
