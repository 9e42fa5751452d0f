"""Plots in terminal cells: lines, marks and spread, told apart by their shapes and not by colour."""
