package help

import (
	"fmt"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// KindPictures is a small drawing of each kind, facing +x where it has a facing: which cells it reads, which of them from far, and which
// it feeds or joins. Each is made from a part placed on a bench.
func KindPictures() string {
	var s strings.Builder
	for _, k := range engine.Kinds() {
		for line := range strings.Lines(kindPicture(k)) {
			s.WriteString(strings.TrimRight(line, " \n") + "\n")
		}
	}
	return s.String()
}

func kindPicture(k engine.Kind) string {
	b := engine.New(engine.DefaultRules())
	p := engine.Part{Kind: k, Ticks: k.Trait().Usual}
	if k == engine.Tray {
		p.Room = 1
	}
	if k == engine.Shuttle {
		p.Slug = engine.Plug
	}
	id, err := b.Place(engine.Cell{}, p)
	if err != nil {
		return fmt.Sprintf("%v: %v\n", k, err)
	}
	sign := map[engine.Cell]string{}
	for _, pad := range b.Pads(id) {
		sign[pad.Cell] = "r"
		if pad.Far {
			sign[pad.Cell] = "f"
		}
	}
	t := k.Trait()
	for d := range engine.Dir(6) {
		at := engine.Cell{}.Add(d.Cell())
		switch {
		case t.Conducts:
			sign[at] = "="
		case t.Feeds == engine.FeedsAround, t.Feeds == engine.FeedsFront && d == p.Facing:
			sign[at] += ">"
		}
	}
	sign[engine.Cell{}] = string(say.Kinds[k].Letter)
	var s strings.Builder
	for y := int32(1); y >= -1; y-- {
		name, beside := "", ""
		if y == 1 {
			name = k.String()
		}
		for x := int32(-2); x <= 1; x++ {
			beside += fmt.Sprintf("%3s", sign[engine.Cell{X: x, Y: y}])
		}
		var off []string // what lies above and below
		if y == 0 {
			for _, z := range []int32{1, -1, -2} {
				if what := sign[engine.Cell{Z: z}]; what != "" {
					off = append(off, fmt.Sprintf("z %+d: %s", z, what))
				}
			}
		}
		fmt.Fprintf(&s, "%-8s y %2d %-12s   %s\n", name, y, beside, strings.Join(off, "  "))
	}
	return s.String()
}
