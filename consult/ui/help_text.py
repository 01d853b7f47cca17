"""The help screen's text."""

from consult.ui.keys import WORDS, key_lines, word_lines

HELP = f"""\
Answers
  Type what the caller says and press Enter: 5ft 2, 157, about 40 cm, 40-42 cm, 9st 4.
  Choices: the number, the name, or its first letters; several with commas between.
  Yes or no: y or n.  Dates: 2 December, in 2 weeks, next Tuesday.
  ? or F2: the caller does not know. The rest is estimated and says how sure it is.
  A bare number is in the caller's units. Where an answer may mean two things, both are shown:
  Enter takes the first, Tab the second; or type the answer anew.
  An odd measure is given back once. Have it measured again; Enter once more if it stands.
  / tells a fact out of turn, by name: /desk 73, /lower leg 41, /glasses varifocals. Its
  question is then not asked. A name alone, /desk, goes there. // for a text that begins with /.
  Several in one line, with commas: /leg 41, thigh 47, desk 73. What cannot be read stays in the
  line, selected; the others are taken.
  /country Germany, or /country DE: where the caller is, and so whose numbers are said.

Keys and words
{key_lines()}
{word_lines(WORDS)}
  A word with text does it at once: /note prefers mornings, /try 70 cm, /amend height.

Signs
  »  changed with the last answer      !  needs attention      ?  not known
  ±  nine callers in ten like this one lie within
  m, meas.  measured    e, est.  estimated    p, part.  partly each    g  given: stands as it is

Large words: the window shows the words alone, so the letters of the terminal or browser can
be enlarged until a line holds forty of them.

This is not medical advice. A warning sign always comes before a chair.
"""
