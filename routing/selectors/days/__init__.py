"""Days of delivering as pages show them: the list, one day, what upsets it."""
