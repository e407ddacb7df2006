"""The desk: reading cards in, stack by stack or loose."""
