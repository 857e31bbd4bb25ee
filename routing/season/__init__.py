"""The season ahead: which work in which week, what to sell where, what one more hour is worth."""
