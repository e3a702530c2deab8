package say

import (
	"fmt"
	"strings"
)

func Article(noun string) string {
	if noun != "" && strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

// Plural is a noun of many: batteries, keys.
func Plural(noun string) string {
	if n := len(noun); n > 1 && noun[n-1] == 'y' && !strings.ContainsRune("aeiou", rune(noun[n-2])) {
		return noun[:n-1] + "ies"
	}
	return noun + "s"
}

func Count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %s", n, Plural(noun))
}
