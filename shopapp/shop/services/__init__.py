"""What every subject's services stand on: acts, counters, the outbox, search terms."""
