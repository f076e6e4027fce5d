"""The proof of the door sheet: reads the emitted page back as ink, traces it, and compares it with the conductor list.

It shares no code with the drafting: it knows only the sizes that the sheet promises.
"""
