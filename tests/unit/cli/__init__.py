"""The command line: what it prints, what it stores, what it refuses."""
