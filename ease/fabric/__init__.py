"""Measure: bench readings in, a fabric out."""
