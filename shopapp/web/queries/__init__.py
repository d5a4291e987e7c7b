"""What pages over several subjects read."""
