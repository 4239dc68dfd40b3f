"""The gate."""
