"""People, their devices, signing in."""
