package say

import (
	"fmt"
	"strings"
)

// Article puts a or an in front: by what is heard, so a oneshot.
func Article(noun string) string {
	if noun != "" && strings.ContainsRune("aeiou", rune(noun[0])) && !strings.HasPrefix(noun, "one") {
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
