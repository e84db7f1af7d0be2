"""What a browser calls itself, in words that people can tell their devices apart by."""

# The first that fits: most browsers also name those that they descend from.
BROWSERS = (("Edg", "Edge"), ("Firefox", "Firefox"), ("Chrome", "Chrome"), ("Safari", "Safari"))
SYSTEMS = (
    ("Android", "Android"),
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("CrOS", "ChromeOS"),
    ("Windows", "Windows"),
    ("Mac OS", "macOS"),
    ("Linux", "Linux"),
)


def device_name(user_agent: str) -> str:
    found = [next((name for mark, name in marks if mark in user_agent), "") for marks in (BROWSERS, SYSTEMS)]
    return ", ".join(name for name in found if name)
