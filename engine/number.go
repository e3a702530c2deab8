package engine

// Parts that tell each other should lie near each other in memory: in random order a
// bench of 10^5 parts runs several times slower. So before a run a large bench whose
// order is bad is numbered anew, breadth first along neighbours and cords, which is the
// way news runs. Nothing that can be seen depends on these numbers.

const (
	numberFrom = 4096 // sites below which the order does not matter
	nearby     = 64   // sites that count as near
)

// maybeNumber numbers the sites anew if many were added since the last time and they lie badly.
func (b *Bench) maybeNumber() {
	n := len(b.site)
	if n < numberFrom || n < b.numbered+b.numbered/4 {
		return
	}
	b.numbered = n
	links, distant := 0, 0
	for s := range b.site {
		for _, o := range b.site[s].nbr {
			if o >= 0 {
				links++
				if d := int(o) - s; d > nearby || d < -nearby {
					distant++
				}
			}
		}
	}
	for k := range b.cords {
		links++
		if d := b.cords[k].to - b.ends[k].from; d > nearby || d < -nearby {
			distant++
		}
	}
	if distant*3 > links {
		b.Number()
	}
}

// Number numbers the sites anew along neighbours and cords. Runs call it by themselves
// when it pays; nothing that can be seen changes.
func (b *Bench) Number() {
	b.own()
	from := b.alongNews()
	to := make([]int32, len(from)) // new number of an old one
	for s, f := range from {
		to[f] = int32(s)
	}
	b.moveSites(from, to)
	b.moveQueued(to)
}

// alongNews lists the sites breadth first along neighbours and cords.
func (b *Bench) alongNews() []int32 {
	n := int32(len(b.site))
	seen := make([]bool, n)
	from := make([]int32, 0, n)
	visit := func(s int32) {
		if s >= 0 && !seen[s] {
			seen[s] = true
			from = append(from, s)
		}
	}
	head := 0
	for first := range n {
		for visit(first); head < len(from); head++ {
			s := from[head]
			for _, o := range b.site[s].nbr {
				visit(o)
			}
			for k := b.site[s].out; k >= 0; k = b.cords[k].next {
				visit(b.cords[k].to)
			}
		}
	}
	return from
}

// moveSites moves what is kept by site and renames the sites that are named in it.
func (b *Bench) moveSites(from, to []int32) {
	move(&b.site, from)
	move(&b.cell, from)
	move(&b.id, from)
	move(&b.extOf, from)
	move(&b.in, from)
	if b.mixed != nil {
		move(&b.mixed, from)
	}
	move(&b.st, from)
	for s := range b.site {
		for d, o := range b.site[s].nbr {
			if o >= 0 {
				b.site[s].nbr[d] = to[o]
			}
		}
	}
	for i, s := range b.index.slot {
		if s != 0 {
			b.index.slot[i] = to[s-1] + 1
		}
	}
	for k := range b.cords {
		b.cords[k].to = to[b.cords[k].to]
		b.ends[k].from = to[b.ends[k].from]
	}
	for i := range b.fars {
		if b.fars[i].reader >= 0 {
			b.fars[i].reader = to[b.fars[i].reader]
		}
		b.fars[i].cell = to[b.fars[i].cell]
	}
	for id := range b.things {
		if id > 0 {
			b.things[id].site = to[b.things[id].site]
		}
	}
}

// moveQueued renames the sites in acts, news, timers and stimuli that wait.
func (b *Bench) moveQueued(to []int32) {
	for _, acts := range [][]act{b.cur, b.next} {
		for i := range acts {
			acts[i].site = to[acts[i].site]
		}
	}
	for i := range b.news {
		b.news[i].hearer = to[b.news[i].hearer]
		if b.news[i].teller >= 0 {
			b.news[i].teller = to[b.news[i].teller]
		}
	}
	timers := func(ts []timer) {
		for i := range ts {
			ts[i].site = to[ts[i].site]
		}
	}
	timers(b.due)
	for _, slot := range b.slots {
		timers(slot)
	}
	for i := range b.later {
		b.later[i].site = to[b.later[i].site]
	}
	for i := range b.stims {
		b.stims[i].site = to[b.stims[i].site]
	}
}

// move puts a slice into a new order.
func move[T any](s *[]T, from []int32) {
	moved := make([]T, len(*s), cap(*s))
	for i, f := range from {
		moved[i] = (*s)[f]
	}
	*s = moved
}
