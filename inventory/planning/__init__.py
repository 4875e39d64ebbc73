"""From a number wanted for sale back to a number to stick: arithmetic on plain values.

Nothing here knows Django or the ledger. Containers are keys, days are dates, and what is
thought of a stage of growth is a share or a `Beta` of `inventory.statistics`.
"""
