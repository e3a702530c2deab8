package say

import (
	"errors"
	"strconv"
)

// Values is the noun for what a design sends, as a script writes it: number, or value if not all are numbers.
func Values(texts []string) string {
	for _, s := range texts {
		if _, err := strconv.ParseFloat(s, 64); errors.Is(err, strconv.ErrSyntax) {
			return "value"
		}
	}
	return "number"
}

// CountValues is how many there are, with their noun: 3 numbers, 1 value.
func CountValues(texts []string) string { return Count(len(texts), Values(texts)) }
