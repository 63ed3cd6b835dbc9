"""What guesses at passwords start with: collected by hand for this program, from what people are known to choose."""

from __future__ import annotations

# Runs of keys on common keyboards, of the alphabet and of digits, forwards and backwards.
_ROWS = ("qwertyuiop", "asdfghjkl", "zxcvbnm", "qwertzuiop", "azertyuiop", "1234567890", "0123456789")
_COLUMNS = ("1qaz2wsx3edc4rfv5tgb6yhn7ujm8ik9ol0p", "qazwsxedcrfvtgbyhnujmikolp", "1q2w3e4r5t6y7u8i9o0p")
_ALPHABET = "abcdefghijklmnopqrstuvwxyz"
_FORWARDS = (*_ROWS, *_COLUMNS, _ALPHABET, "".join(_ROWS[:3]))
RUNS = tuple(run for row in _FORWARDS for run in (row, row[::-1]))

_WORDS = """
    access account admin administrator amazing angel apple april august autumn baby banana baseball basketball
    beautiful birthday blink bluesky bond brother buddy butterfly captain changeit changeme charlie cheese
    chocolate christmas college computer cookie cooper correct cricket daddy dallas december default diamond
    dolphin donald dragon dublin easter electric electrical electrician elephant england february flower
    football forever freedom friday friend friends games george ginger goodbye guest guitar hannah harry heaven
    hello holiday hunter iloveyou internet ireland january jasmine jennifer july june justin kitten letmein
    little liverpool login london love lovely loveme lucky maggie magic manager manchester march master match
    matrix michael michelle monday monkey monster mother mountain mummy music mypass newcastle nicole ninja
    november october office open orange pass passphrase passw0rd passwd password peanut pepper phoenix prince
    princess protection purple qwerty rainbow ranger robert rugby saturday scotland secret september server
    shadow sister soccer sommer spider spring student summer sunday sunflower sunshine superstar sweet system
    teacher temp temporary test testing thomas thursday tigger trainer training tuesday united unknown user
    username wales wednesday welcome whatever william winter wizard working yellow apprentice breaker cable
    charger circuit circuitbreaker earthing fuse installer lecturer qualified regulations socket sparky switch
    voltage wiring my the this is a me you your our it in i am let please for not new old one two three now only
"""
COMMON = tuple(sorted(_WORDS.split(), key=lambda word: (-len(word), word)))
