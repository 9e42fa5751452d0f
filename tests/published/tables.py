"""Rows of published values that several checks use, each with its source."""

KGF_CM2_IN_MPA = 0.0980665
"""Kilogram-force per square centimetre, by definition of the kilogram-force."""

# One flat band grade, tension in N at 25, 50, ... 250 % elongation; resting length 0.30 m.
# Uchida MC et al., J Phys Ther Sci 2016;28(4):1266-1271, doi 10.1589/jpts.28.1266 (second hand).
FLAT_BAND_REST_M = 0.30
FLAT_BAND_N: dict[int, float] = {
    25: 11.28,
    50: 16.67,
    75: 20.99,
    100: 24.62,
    125: 27.95,
    150: 30.30,
    175: 32.56,
    200: 34.52,
    225: 37.76,
    250: 39.03,
}

# Vulcanised natural rubber: stretch and stress on the original section in kgf/cm2.
# Treloar LRG, Trans Faraday Soc 1944;40:59-70, as tabulated in an open finite-element library (second hand).
NATURAL_RUBBER: tuple[tuple[float, float], ...] = (
    (1.02, 0.26),
    (1.125, 1.37),
    (1.24, 2.30),
    (1.39, 3.23),
    (1.585, 4.16),
    (1.90, 5.10),
    (2.18, 6.00),
    (2.42, 6.90),
    (3.02, 8.80),
    (3.57, 10.7),
    (4.03, 12.5),
)
