"""The rule book as entries that can be searched, filtered and unfolded."""
