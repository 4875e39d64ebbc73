"""The house: settings, addresses and small helpers with no domain in them."""
