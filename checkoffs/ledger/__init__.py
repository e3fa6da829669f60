"""What may be added and never changed: durability, triggers, write gate, audit chain. No business of any one room."""
