"""What keeps strangers out and the honest served: headers, pace, limits, checks of the set-up."""
