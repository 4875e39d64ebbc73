"""Invoices that machines read: one set of facts, written in both syntaxes of EN 16931."""
