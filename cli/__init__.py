"""The command line: load, call, show."""
