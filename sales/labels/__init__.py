"""Lot tags and pot labels: the measures of their sheets, what they say, and the sheet as a PDF."""
