"""What may be added and never changed: durability of tables, triggers, write gate, audit chain. No business of any one room."""
