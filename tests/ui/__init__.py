"""Every page by Streamlit's own test runner, against a shop in memory."""
