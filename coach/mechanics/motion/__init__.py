"""The motions of the arm: where the hand and the masses are at each value of one coordinate."""
