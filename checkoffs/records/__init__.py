"""From a finished attempt to a sealed record and its PDF; amendments; verification. Not who may see which page of it later."""
