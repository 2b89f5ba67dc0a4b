"""Decide: a fabric and a body in, how much smaller to cut out."""
