"""The body: measurements, checked and completed."""
