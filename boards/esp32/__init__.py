"""What only an ESP32 has: pins, its flash partition, its analogue converter, the words that survive a reset."""
