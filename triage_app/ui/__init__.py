"""Streamlit pages and the marking canvas; thin."""
