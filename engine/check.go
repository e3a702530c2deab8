package engine

import "fmt"

// Check works everything that is kept as counts out anew and reports the first that is
// wrong. For tests: it costs a walk over the whole bench.
func (b *Bench) Check() error {
	bad := func(s int32, what string, got, want any) error {
		return fmt.Errorf("%s at %s: %s is %v, want %v", b.st[s].kind, b.place(s), what, got, want)
	}
	for i := range b.st {
		s := int32(i)
		st := &b.st[s]
		if want := st.feedsAround(); want != (st.slug&around != 0) {
			return bad(s, "all-round feed", !want, want)
		}
		if want := st.slug&around != 0 || st.n > 0 && st.conducts(); want != (st.flags&fPad != 0) {
			return bad(s, "live for readers", !want, want)
		}
		if st.flags&fMark != 0 {
			return bad(s, "mark", true, false)
		}
		me := &b.site[s]
		fed, pw := 0, 0
		for d, n := range me.nbr {
			if n < 0 {
				continue
			}
			if b.site[n].nbr[d^1] != s || b.cell[s].Add(Dir(d).Cell()) != b.cell[n] {
				return bad(s, "neighbour", b.cell[n], b.cell[s].Add(Dir(d).Cell()))
			}
			frontOn := b.frontOn(n) && b.site[n].facing == Dir(d^1)
			if b.st[n].slug&around != 0 {
				fed++
			}
			if frontOn && b.st[n].kind != Meter {
				fed++
			}
			if me.pads>>d&1 != 0 && (b.st[n].flags&fPad != 0 || frontOn) {
				pw++
			}
		}
		for _, f := range b.fars {
			if f.reader == s && b.st[f.cell].flags&fPad != 0 {
				pw++
			}
		}
		isConductor := traits[st.kind].Conducts
		for k := b.in[s]; k >= 0; k = b.ends[k].nextIn {
			c := &b.cords[k]
			if want := c.power && b.reads(b.ends[k].from) != c.inv; want != b.cordOn[k] {
				return bad(s, "cord", b.cordOn[k], want)
			}
			if b.cordOn[k] && isConductor {
				fed++
			} else if b.cordOn[k] {
				pw++
			}
		}
		if st.kind != Gate && st.forced > 0 {
			pw++
		}
		if int(st.fed) != fed {
			return bad(s, "feeds", st.fed, fed)
		}
		if int(st.pw) != pw {
			return bad(s, "live pads", st.pw, pw)
		}
		if st.kind == Gate {
			was := st.nin
			b.countInputs(s)
			if st.nin != was {
				return bad(s, "inputs", was, st.nin)
			}
		}
		if st.conducts() {
			want := b.source(s)
			for _, n := range me.nbr {
				if n >= 0 {
					want = max(want, b.level(n)-1)
				}
			}
			if st.n != want {
				return bad(s, "level", st.n, want)
			}
		}
	}
	if len(b.seeds) > 0 || len(b.changed) > 0 {
		return fmt.Errorf("levels are not settled")
	}
	return nil
}

// place names the place of a site, for messages.
func (b *Bench) place(s int32) string {
	if b.site[s].shelf {
		return fmt.Sprint("shelf", b.id[s])
	}
	return fmt.Sprint(b.cell[s])
}
