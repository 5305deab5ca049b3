"""The drawings of the sheet, each as SVG text: duty, set-point law, log trace, head-room."""
