"""Two door sheets as a person would script them with schemdraw: every place and bend chosen by hand, nothing checked.

They draw the devices, conductors and labels that `wiregen` draws for the same doors, without cables, places, symbols inside
the devices, title block and notes, so they do less than the sheets that they are compared with.
"""
