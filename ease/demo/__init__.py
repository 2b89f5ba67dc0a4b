"""Invented demo data that ships with the project."""
