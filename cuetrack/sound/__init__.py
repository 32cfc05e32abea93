"""From clips, tones and music to one mix."""
