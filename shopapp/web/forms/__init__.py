"""Forms of pages over several subjects."""
