"""What: the moments of one swing and measures that carry their errors."""
