"""The ESP32-S3: the line by UART, the knob by the pulse counter."""
