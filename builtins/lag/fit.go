package lag

import "pulsewright/builtins"

func fitWords() []builtins.Entry { return nil }
