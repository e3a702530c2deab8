package say

import (
	"fmt"
	"strings"
)

// Ranges lists numbers in ascending order, those in a row together: "1 to 24, 37, 48".
func Ranges[N int | int64](xs []N) string {
	var says []string
	for i := 0; i < len(xs); {
		k := i
		for k+1 < len(xs) && xs[k+1] == xs[k]+1 {
			k++
		}
		switch {
		case k > i+1:
			says = append(says, fmt.Sprintf("%d to %d", xs[i], xs[k]))
		case k == i+1:
			says = append(says, fmt.Sprintf("%d, %d", xs[i], xs[k]))
		default:
			says = append(says, fmt.Sprint(xs[i]))
		}
		i = k + 1
	}
	if len(says) == 0 {
		return "none"
	}
	return strings.Join(says, ", ")
}
