"""The invented college: people, days and attempts, made through the real actions. Nothing here is real."""
