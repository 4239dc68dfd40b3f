"""How well are orange cables proposed? Scenes drawn and photographed, the split, the figures."""
