"""The solver: rounds of readings in, a finding out. Pure numpy, one linear model."""
