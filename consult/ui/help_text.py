"""The help screen's text."""

from consult.ui.keys import WORDS, key_lines, word_lines

HELP = f"""\
Answers
  Type what the caller says and press Enter: 5ft 2, 157, about 40 cm, 40-42 cm, 9st 4.
  Choices: the number, the name, or its first letters; several with commas between.
  Yes or no: y or n.  Dates: 2 December, in 2 weeks, next Tuesday.
  ? or F2: the caller does not know. The rest is estimated and says how sure it is.
  A number without a unit is in the caller's units. If an answer can mean two things, both are
  shown: Enter chooses the first, Tab the second; or type the answer again.
  consult asks you to check an odd measure. Have it measured again; if it is right, press Enter.
  You can enter an answer early: /desk 73, /lower leg 41, /glasses varifocals. Its question is
  then not asked. /desk alone goes to that question. Type // for a text that starts with /.
  No tape at hand: /tape no. Then nothing is asked that needs one.
  Several in one line, with commas: /leg 41, thigh 47, desk 73. What cannot be read stays in the
  line, selected; the others are stored.
  /country Germany, or /country DE: the caller's country, which decides whom to contact.

Keys and words
{key_lines()}
{word_lines(WORDS)}
  A word followed by text does it at once: /note prefers mornings, /try 70 cm, /amend height.

Symbols
  »  changed with the last answer      !  needs attention      ?  not known
  ±  nine in ten callers with these measures are within this
  m, meas.  measured    e, est.  estimated    p, part.  partly each    g  given

Large words: the window shows only the words, so you can enlarge the letters of the terminal
or browser until forty fill a line.

This is not medical advice. A warning sign always comes before a chair.
"""
