"""Copies of the ledger: made, proved, thinned out, brought back; and what is wrong with it."""
