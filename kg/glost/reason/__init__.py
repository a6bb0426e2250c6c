"""What follows from the claims: the closure, the clashes, the dates."""
