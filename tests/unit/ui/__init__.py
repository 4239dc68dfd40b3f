"""Tests of the screens' parts that need no Streamlit run."""
