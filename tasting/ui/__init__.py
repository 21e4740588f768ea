"""The web app: the only place that knows Streamlit and Altair. One script a page."""
