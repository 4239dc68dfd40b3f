"""Pixels. Bytes in, new bytes or plain values out; never writes on its input."""
