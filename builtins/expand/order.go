package expand

// Why one line of a ledger comes before another of the same step, and by how much. Within a tick steps count. Within a
// step turns do, and acts have their turns in the order in which they were queued; so what decides lies in the step before, or further back.
// Within a turn it is how deep in the news, first told first heard; and of two equally deep the one whose cause came first.

// decides is what puts two lines in their order.
type decides uint8

const (
	bySame  decides = iota // one cause told both, in the order of its neighbours
	byTicks                // something came ticks earlier
	bySteps                // or steps
	byDepth                // or fewer pieces of news
	byGiven                // stimuli, as they were given
	unclear
)

// margin is what puts two lines in their order, and by how many ticks, steps or pieces of news.
type margin struct {
	decides
	by int32
}

// margin finds why line x comes before line y.
func (l *ledger) margin(x, y int32) margin {
	for range len(l.lines) + 1 {
		if x == y {
			return margin{}
		}
		a, b := &l.lines[x], &l.lines[y]
		switch {
		case a.ticks != b.ticks:
			return decided(byTicks, b.ticks-a.ticks)
		case a.steps != b.steps:
			return decided(bySteps, b.steps-a.steps)
		case !l.together(a, b):
			x, y = l.root(x), l.root(y)
		case l.onTop: // depth first: what one cause told, with all that follows from it, comes before what it told next
			return margin{}
		case a.depth != b.depth:
			return decided(byDepth, b.depth-a.depth)
		case a.depth == 0 && !a.conductor && !b.conductor: // two acts whose news is delivered together
		case a.conductor || b.conductor:
			if a.conductor {
				x = a.cause
			}
			if b.conductor {
				y = b.cause
			}
			if x == y {
				return margin{}
			}
			continue
		}
		x, y = l.lines[x].cause, l.lines[y].cause
		if x < 0 || y < 0 {
			return margin{decides: byGiven}
		}
	}
	return margin{decides: unclear}
}

func decided(d decides, by int32) margin {
	if by < 0 {
		return margin{unclear, by}
	}
	return margin{d, by}
}

// root is the first line of the delivery of news to which a line belongs.
func (l *ledger) root(x int32) int32 {
	for {
		c := l.lines[x].cause
		if c < 0 || !l.together(&l.lines[x], &l.lines[c]) {
			return x
		}
		x = c
	}
}
