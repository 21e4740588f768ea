"""The statistics of discrimination and preference, on plain numbers.

Nothing here knows a drink, a panel or a file: a function takes counts, chances and risks and
returns a frozen result. One question a module; import the module that you need.
"""
