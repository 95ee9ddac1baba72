"""Evidence: how sure plain counts are, which sounds a class really mixes up, and which it knows slowly."""
