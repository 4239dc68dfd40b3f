"""Streamlit's theme options: light, high contrast, large type; the rest is in ``assets/ui.css``."""

INK = "#14181C"
PETROL = "#1F4257"

THEME: dict[str, object] = {
    "base": "light",
    "primaryColor": PETROL,
    "backgroundColor": "#FFFFFF",
    "secondaryBackgroundColor": "#EEF1F3",
    "textColor": INK,
    "linkColor": "#0B4F79",
    "borderColor": "#8A959D",
    "showWidgetBorder": True,
    "baseFontSize": 18,
    "baseRadius": "6px",
    "headingFontSizes": ["1.75rem", "1.375rem", "1.125rem"],
    "headingFontWeights": [700, 700, 700],
}
