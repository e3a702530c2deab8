package engine

// truth has, for each op without memory, a bit for each combination of: no input is live
// (1), all are (2), their number is odd (4).
var truth = func() (t [16]uint8) {
	for op := range Xnor + 1 {
		for i := range uint8(8) {
			if opWants(op, i&1 != 0, i&2 != 0, i&4 != 0) {
				t[op] |= 1 << i
			}
		}
	}
	return t
}()

// gateWants is what gate s computes from its inputs.
func (b *Bench) gateWants(s int32) bool {
	st := &b.st[s]
	if st.forced > 0 {
		return true
	}
	live := st.pw
	if Op(st.op) <= Xnor {
		return opWants(Op(st.op), live == 0, live == st.nin, live&1 == 1)
	}
	switch Op(st.op) {
	case Maj:
		return 2*uint32(live) > uint32(st.nin)
	case Hold:
		switch {
		case live == 0:
			return false
		case live == st.nin:
			return true
		}
	case Latch:
		set, reset := b.latchInputs(s)
		switch {
		case set:
			return true
		case reset:
			return false
		}
	}
	return st.on()
}

// opWants is what an op without memory computes when none, all, or an odd number of the inputs are live.
func opWants(op Op, none, all, odd bool) bool {
	switch op {
	case Buf, Or:
		return !none
	case Not, Nor:
		return none
	case And:
		return all && !none
	case Nand:
		return !all || none
	case Xor:
		return odd
	}
	return !odd
}

// latchInputs reads the first two inputs of a latch: pads in their order, then cords.
func (b *Bench) latchInputs(s int32) (set, reset bool) {
	var in [2]bool
	n := 0
	take := func(live bool) {
		if n < 2 {
			in[n] = live
		}
		n++
	}
	b.eachPad(s, func(p int32, d Dir) {
		if p >= 0 && b.canFeed(p, d) {
			take(b.padLive(s, p, d))
		}
	})
	for k := b.in[s]; k >= 0; k = b.ends[k].nextIn {
		if b.cords[k].power {
			take(b.cordOn[k])
		}
	}
	return in[0], in[1]
}

// eachPad visits the pads of part s in order: those given, or the kind's own in
// neighbour order with the far pad last. d is the direction of a neighbour, 6 for a cell
// farther away; p is -1 if nothing is known of the cell.
func (b *Bench) eachPad(s int32, visit func(p int32, d Dir)) {
	me := &b.site[s]
	if me.shelf {
		return
	}
	if given := b.padsGiven(b.id[s]); given != nil {
		for _, off := range given {
			if d, next := DirOf(off); next {
				visit(me.nbr[d], d)
			} else if p, ok := b.index.find(b.cell[s].Add(off), b.cell); ok {
				visit(p, 6)
			} else {
				visit(-1, 6)
			}
		}
		return
	}
	for _, d := range b.order(s) {
		if me.pads>>d&1 != 0 {
			visit(me.nbr[d], d)
		}
	}
}

// padLive reports whether part s reads cell p, its neighbour in direction d, live.
func (b *Bench) padLive(s, p int32, d Dir) bool {
	return b.st[p].flags&fPad != 0 || d < 6 && b.site[p].facing == d^1 && b.frontOn(p)
}

// gateDue: a slow gate looks again.
func (b *Bench) gateDue(s int32, cause EventID) {
	st := &b.st[s]
	st.flags &^= fTimer
	if b.gateWants(s) == st.on() {
		b.lapse(s, Lapses, cause)
		return
	}
	b.flipSettled(s, cause)
}
