"""Say in words what somebody logs in with: coarse, so that nobody is told apart by it."""

# The first that is found counts: most browsers also bear the names of those before them.
BROWSERS = {
    "Edg": "Edge",
    "OPR/": "Opera",
    "SamsungBrowser": "Samsung Internet",
    "Firefox": "Firefox",
    "FxiOS": "Firefox",
    "CriOS": "Chrome",
    "Chrome": "Chrome",
    "Safari": "Safari",
}
SYSTEMS = {
    "Android": "Android",
    "iPhone": "iPhone",
    "iPad": "iPad",
    "Windows": "Windows",
    "Mac OS X": "Mac",
    "CrOS": "Chromebook",
    "Linux": "Linux",
}


def device_in_words(user_agent: str) -> str:
    """Return such as "Chrome on Android"; what is not known is left out, perhaps all."""
    found = [
        next((words for sign, words in table.items() if sign in user_agent), "")
        for table in (BROWSERS, SYSTEMS)
    ]
    return " on ".join(filter(None, found))
