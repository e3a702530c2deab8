package invent_test

import _ "pulsewright/builtins/words" // all words, as a program has them
