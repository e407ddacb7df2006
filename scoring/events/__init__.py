"""Days of several contests: which they are, and the sweepstakes over all of them."""
