package say

import (
	"fmt"
	"strings"
)

// Crash says what a panic was about: a bug of ours, or a request too large to be met.
func Crash(recovered any) string {
	what := fmt.Sprint(recovered)
	for _, sign := range []string{"makeslice", "growslice", "out of memory", "string concatenation too long"} {
		if strings.Contains(what, sign) {
			return "internal error: a value too large to hold was asked for"
		}
	}
	return "internal error: " + strings.TrimPrefix(what, "runtime error: ")
}
