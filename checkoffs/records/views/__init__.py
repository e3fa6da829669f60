"""Pages of the records room: reading and changing what is sealed; signing and moderation, which end in a seal."""
