"""Do cost arithmetic on plain values; nothing in this room knows the database."""
