"""Review: what a named person says of a finding at high voltage, and whether it still holds."""
