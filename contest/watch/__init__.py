"""What the superintendent watches: progress, doubts and keys."""
