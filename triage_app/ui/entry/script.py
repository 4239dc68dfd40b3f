"""What Streamlit runs at every click."""

from triage_app.ui.app import main

main()
