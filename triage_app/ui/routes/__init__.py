"""Our own web addresses beside Streamlit's: sign-in, pictures and reports."""
