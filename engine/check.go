package engine

import "fmt"

// Check works everything that is kept as counts out anew and reports the first that is
// wrong. For tests: it costs a walk over the whole bench.
func (b *Bench) Check() error {
	checks := [...]func(int32) error{b.checkCell, b.checkPower, b.checkInputs, b.checkLevel, b.checkSlug}
	for i := range b.st {
		for _, check := range checks {
			if err := check(int32(i)); err != nil {
				return err
			}
		}
	}
	if len(b.seeds) > 0 || len(b.changed) > 0 {
		return fmt.Errorf("levels are not settled")
	}
	return nil
}

// bad says that something kept of a site is not what it should be.
func (b *Bench) bad(s int32, what string, got, want any) error {
	return fmt.Errorf("%s at %s: %s is %v, want %v", b.st[s].kind, b.place(s), what, got, want)
}

// checkCell: what the cell is for others, and who its neighbours are.
func (b *Bench) checkCell(s int32) error {
	st := &b.st[s]
	if want := st.feedsAround(); want != (st.slug&around != 0) {
		return b.bad(s, "all-round feed", !want, want)
	}
	if want := st.slug&around != 0 || st.n > 0 && st.conducts(); want != (st.flags&fPad != 0) {
		return b.bad(s, "live for readers", !want, want)
	}
	if st.flags&fMark != 0 {
		return b.bad(s, "mark", true, false)
	}
	for d, n := range b.site[s].nbr {
		if n >= 0 && (b.site[n].nbr[d^1] != s || b.cell[s].Add(Dir(d).Cell()) != b.cell[n]) {
			return b.bad(s, "neighbour", b.cell[n], b.cell[s].Add(Dir(d).Cell()))
		}
	}
	return nil
}

// checkPower: how many feed the cell, and how many of its pads and cords are live.
func (b *Bench) checkPower(s int32) error {
	st, me := &b.st[s], &b.site[s]
	fed, pw := 0, 0
	for d, n := range me.nbr {
		if n < 0 {
			continue
		}
		frontOn := b.frontOn(n) && b.site[n].facing == Dir(d^1)
		if b.st[n].slug&around != 0 {
			fed++
		}
		if frontOn && !b.meters(n) {
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
	for k := b.in[s]; k >= 0; k = b.ends[k].nextIn {
		c := &b.cords[k]
		if want := c.power && b.reads(b.ends[k].from) != c.inv; want != b.cordOn[k] {
			return b.bad(s, "cord", b.cordOn[k], want)
		}
		if b.cordOn[k] && traits[st.kind].Conducts {
			fed++
		} else if b.cordOn[k] {
			pw++
		}
	}
	if st.kind != Gate && st.forced > 0 {
		pw++
	}
	if int(st.fed) != fed {
		return b.bad(s, "feeds", st.fed, fed)
	}
	if int(st.pw) != pw {
		return b.bad(s, "live pads", st.pw, pw)
	}
	return nil
}

// checkInputs: how many inputs a gate has.
func (b *Bench) checkInputs(s int32) error {
	st := &b.st[s]
	was := st.nin
	if b.countInputs(s); st.nin != was {
		return b.bad(s, "inputs", was, st.nin)
	}
	return nil
}

// checkLevel: the level of a conductor.
func (b *Bench) checkLevel(s int32) error {
	st := &b.st[s]
	if !st.conducts() {
		return nil
	}
	want := b.source(s)
	for _, n := range b.site[s].nbr {
		if n >= 0 {
			want = max(want, b.level(n)-1)
		}
	}
	if st.n != want {
		return b.bad(s, "level", st.n, want)
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

// checkSlug: a slug sits in a cell if it is loose, or one shuttle's own at rest; one is awaited by a cell if one shuttle has it in transit.
func (b *Bench) checkSlug(s int32) error {
	st := &b.st[s]
	sit, come := 0, 0
	for _, sh := range b.seatedBy(s) {
		switch {
		case b.heads(sh) != s:
		case b.st[sh].transit():
			come++
		default:
			sit++
			if st.seated() != Slug(b.st[sh].op) {
				return b.bad(s, "slug", st.seated(), Slug(b.st[sh].op))
			}
		}
	}
	if st.loose() {
		sit++
	}
	want, awaits := 0, 0
	if st.seated() != NoSlug {
		want = 1
	}
	if st.slug&awaited != 0 {
		awaits = 1
	}
	if sit != want || come != awaits {
		return b.bad(s, "slugs seated and awaited", [2]int{want, awaits}, [2]int{sit, come})
	}
	return nil
}
