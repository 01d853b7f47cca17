"""The help screen's text."""

HELP = """\
Answers
  Type what the caller says and press Enter: 5ft 2, 157, about 40 cm, 40-42 cm, 9st 4.
  Choices: the number, the name, or its first letters; several with commas between.
  Yes or no: y or n.  Dates: 2 December, in 2 weeks, next Tuesday.
  ? or F2: the caller does not know. The rest is estimated and says how sure it is.
  An odd measure is given back once. Have it measured again; Enter once more if it stands.

Keys
  F1      this help
  F2      the caller does not know
  F3      what was said; Up and Down choose a line, Enter amends it
  F4      coaching on or off
  F5      metric, imperial, both
  F6      every caution of this call, word for word
  F7      why this chair, why not another, what would change it
  F8      summary, whole or so far, and saving it
  PgUp, PgDn   scroll a long question
  Esc     back to the question at hand
  Ctrl+P  every action by name
  Ctrl+Q  quit; the call is kept and can be gone on with

Signs
  »  changed with the last answer      !  needs attention      ?  not known
  ±  nine callers in ten like this one lie within

This is not medical advice. A warning sign always comes before a chair.
"""
