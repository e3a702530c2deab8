package play_test

import _ "pulsewright/builtins/words" // all words in the table, as every program has them
