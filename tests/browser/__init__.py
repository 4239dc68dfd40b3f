"""See DEVELOPERS.md for what belongs in this folder."""
