"""The frame: home, errors, health, headers, navigation, deploy checks. No business of any one room."""
