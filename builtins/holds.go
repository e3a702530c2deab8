package builtins

import (
	"fmt"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// holds looks where a design holds: all 24 turns and their mirror images, with news fifo and lifo, reads turn and step, and
// pulses that fall early and late; each with the first and the last number. It is a small survey: survey does the whole.
func (l *bay) holds(size int) (figure, error) {
	numbers, err := l.numbers(size)
	if err != nil || len(numbers) == 0 {
		return figure{}, err
	}
	numbers = []starlark.Value{numbers[0], numbers[len(numbers)-1]}
	plain := l.Setting
	defer func() { l.Setting = plain }()
	held, all := int64(0), 0
	for _, mirror := range []bool{false, true} {
		for x := engine.PosX; x <= engine.NegZ; x++ {
			for y := engine.PosX; y <= engine.NegZ; y++ {
				if x/2 == y/2 {
					continue
				}
				for k := range 8 {
					l.Setting = plain
					l.X, l.Y, l.Mirror = x, y, mirror
					l.Rules.News, l.Rules.Reads, l.Late = engine.News(k&1), engine.Reads(k>>1&1), k>>2 == 1
					all++
					right := true
					for _, n := range numbers {
						ok, _, err := l.costs(n, size)
						if err != nil {
							return figure{}, err
						}
						if right = ok; !ok {
							break
						}
					}
					if right {
						held++
					}
				}
			}
		}
	}
	return figure{name: "holds", unit: "settings", value: fmt.Sprintf("%d of %d", held, all), number: held, better: 1,
		how: fmt.Sprintf("24 turns and their mirror images, news fifo and lifo, reads turn and step, early and late fall, with numbers %s and %s; neighbour order and travel as in the rules", show(numbers[0]), show(numbers[1]))}, nil
}
