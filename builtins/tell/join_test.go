package tell_test

import _ "pulsewright/builtins/words" // all words, as a program has them
