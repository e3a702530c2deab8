package engine

import "math/bits"

// The hot loop: acts one after another. It does what act and change do, in one piece,
// with the slices in registers, and takes one short cut: if no level moves and no news
// waits, a neighbour that can do no more than queue an act hears at once. What it would
// see later and the order in which it would queue are the same.

// runActs runs up to n acts, through the following steps too if onward and nothing but
// acts is due in them, and returns how many it ran. It stays one function, long as it is: cut into pieces it would hand a dozen
// slices, masks and counts from one to the other, and fetch them from memory for each act.
func (b *Bench) runActs(n int64, onward bool) int64 {
	st, site := b.st, b.site
	record := b.recording != RecordNone
	var order [8]Dir
	copy(order[:], b.rules.Order[:])
	mixed := b.mixed
	usual := b.rules.Order == DefaultRules().Order && mixed == nil // one load less where every act waits for the last
	onward = onward && len(b.edges) == 0
	cur, next, i := b.cur, b.next, b.head
	step, turn := b.step, b.turn
	left, news := n, int64(0)
	for {
		for ; i < len(cur) && left > 0; i++ {
			a := cur[i]
			left--
			s := &st[a.site]
			want := s.pw > 0
			if s.n < 0 {
				want = s.truth()
			} else if s.kind == Gate {
				want = b.gateWants(a.site)
			}
			ev := a.cause
			tells := s.kind == Told && s.n >= 0
			mute := tells && b.toldMutely(a.site)
			if !mute && (want == s.on() || s.kind == Shuttle || tells) {
				s.flags &^= fQueued
				b.at, b.next = Instant{b.tick, step, turn}, next
				turn++
				b.act(a, b.differs(a.site))
				b.counts.Acts--
				b.deliver()
				next = b.next
				continue
			}
			if !mute {
				s.flags ^= fOn | fQueued
			}
			if record {
				b.at = Instant{b.tick, step, turn}
				what, arg := moved(s)
				if tells {
					arg = b.spec(a.site).Arg(s.op)
				}
				ev = b.keep(a.site, what, arg, ev)
			}
			turn++
			me := &site[a.site]
			if s.kind == Gate {
				if f := me.nbr[me.facing]; f >= 0 { // feedFront, in short
					fs, d := &st[f], uint16(1)
					if !want {
						d = ^uint16(0)
					}
					fs.fed += d
					if me.reads>>(me.facing&7)&1 != 0 && s.flags&fPad == 0 {
						fs.pw += d
					}
					if fs.conducts() {
						b.seeds = append(b.seeds, f)
					}
				}
			}
			if me.out >= 0 {
				b.refreshCords(a.site)
			}
			if len(b.seeds) > 0 {
				b.at, b.next = Instant{b.tick, step, turn - 1}, next
				b.change(a.site, ev)
				b.deliver()
				next = b.next
				continue
			}
			k, waits := me.out, false
			if mixed != nil {
				copy(order[:], orders[mixed[a.site]][:])
			}
			for m := me.ears; ; {
				var h int32
				teller := a.site
				if m != 0 {
					rank := bits.TrailingZeros8(m)
					if usual {
						h = me.nbr[rank]
					} else {
						h = me.nbr[order[rank&7]]
					}
					m &= m - 1
				} else if k >= 0 {
					c := &b.cords[k]
					k = c.next
					if !c.news {
						continue
					}
					h, teller = c.to, -1
				} else {
					break
				}
				t := &st[h]
				wants := t.pw > 0
				switch {
				case t.n < 0 && !waits:
					wants = t.truth()
				case (t.kind == Link || t.kind == Shuttle) && !waits:
				case t.kind == Gate && t.n == 0 && !waits:
					wants = b.gateWants(h)
				case t.kind == Told && !waits && b.spec(h).Lazy():
					news++
					if b.toldQueues(h, teller) {
						next = append(next, act{h, ev})
					}
					continue
				default:
					if hearing[t.kind] != HearsNot {
						waits = true
						b.news = append(b.news, told{h, teller, ev})
					}
					continue
				}
				news++
				if wants != t.on() && t.flags&(fQueued|fTransit) == 0 {
					t.flags |= fQueued
					next = append(next, act{h, ev})
				}
			}
			if waits {
				b.at, b.next = Instant{b.tick, step, turn - 1}, next
				b.batch(0)
				b.deliver()
				next = b.next
			}
		}
		if left == 0 || len(next) == 0 || !onward || b.broken != nil {
			break
		}
		cur, next, i = next, cur[:0], 0
		step++
		turn = 0
	}
	n -= left
	if turn > 0 {
		b.at = Instant{b.tick, step, turn - 1}
	}
	b.cur, b.next, b.head = cur, next, i
	b.step, b.turn = step, turn
	b.turns += n
	b.version += uint64(n)
	b.inTick += n
	b.counts.Turns += n
	b.counts.Acts += n
	b.counts.News += news
	return n
}

// tabulate notes the truth table of a gate that has neither ticks nor memory and is not forced: in minus n, where others
// have their ticks.
func (s *state) tabulate() {
	if s.kind == Gate && s.n <= 0 {
		s.n = 0
		if Op(s.op) <= Xnor && s.forced == 0 {
			s.n = -int32(truth[s.op])
		}
	}
}

// truth reads the truth table that tabulate noted, without a branch: the top bit of count-1 says that the count is 0.
func (s *state) truth() bool {
	pw := uint32(s.pw)
	none, all := (pw-1)>>31, ((pw^uint32(s.nin))-1)>>31
	return -s.n>>((none|all<<1|pw&1<<2)&7)&1 != 0
}

// moved is the word for what a link, a gate or a part of a told kind has just done, and the argument of the event.
func moved(s *state) (What, int32) {
	switch {
	case s.kind == Told && s.on():
		return Enters, 1 | ActiveState
	case s.kind == Told:
		return Enters, 0
	case s.kind == Gate && s.on():
		return On, 0
	case s.kind == Gate:
		return Off, 0
	case s.on():
		return Out, 0
	}
	return Home, 0
}
