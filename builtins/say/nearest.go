package say

import "strings"

// Nearest returns the word in among that is most like word, or "" if none is like enough: at most one slip (a letter
// wrong, missing, too many, or two swapped) for every three letters, at least one. Of equals the first wins. That names of scripts end alike is no likeness.
func Nearest(word string, among []string) string {
	if word == "" {
		return ""
	}
	const script = ".star"
	name, isScript := strings.CutSuffix(word, script)
	w := []rune(name)
	best, found := len(w)/3+1, ""
	if best > 4 {
		best = 4
	}
	best++
	for _, a := range among {
		r := []rune(a)
		if isScript {
			r = []rune(strings.TrimSuffix(a, script))
		}
		if a == word || len(r)-len(w) >= best || len(w)-len(r) >= best {
			continue
		}
		// With half the letters wrong there is no likeness, however short the word.
		if d := distance(w, r); d < best && d*2 < max(len(w), len(r)) {
			best, found = d, a
		}
	}
	return found
}

// distance counts the slips between two words.
func distance(a, b []rune) int {
	before := make([]int, len(b)+1)
	above := make([]int, len(b)+1)
	row := make([]int, len(b)+1)
	for j := range above {
		above[j] = j
	}
	for i := range a {
		row[0] = i + 1
		for j := range b {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			row[j+1] = min(above[j]+cost, above[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, above, row = above, row, before
	}
	return above[len(b)]
}

// DidYouMean is "; did you mean X?", or "" if no word is like it.
func DidYouMean(word string, among []string) string {
	if n := Nearest(word, among); n != "" {
		return "; did you mean " + n + "?"
	}
	return ""
}
