"""The outside JSON form of a case: read, checked and written here and nowhere else."""
