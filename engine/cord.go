package engine

import "fmt"

// Patched is a cord as it lies.
type Patched struct {
	From, To ID
	Cord
}

const maxCords = 30_000 // into one part

// Patch joins two parts: to reads one pad more, live while from is on, out, lit, live or
// holds a token, and is told when from changes. Like placing it tells nobody.
func (b *Bench) Patch(from, to ID, c Cord) error {
	f, err := b.partSite(from)
	if err != nil {
		return err
	}
	t, err := b.partSite(to)
	if err != nil {
		return err
	}
	if !c.Power && !c.News {
		return fmt.Errorf("a cord must carry power, news or both")
	}
	if k := b.st[f].kind; !traits[k].CordFrom {
		return fmt.Errorf("a %v has no state that a cord could read", k)
	}
	if !traits[b.st[t].kind].CordTo {
		return fmt.Errorf("a %v neither hears nor conducts, so a cord cannot end there", b.st[t].kind)
	}
	if err := b.maxCordsTold(t, c); err != nil {
		return err
	}
	if head := b.in[t]; head >= 0 && b.ends[head].count >= maxCords {
		return fmt.Errorf("%d cords end there already; that is the most", maxCords)
	}
	b.own()
	kind := b.st[f].kind
	if traits[kind].Conducts {
		b.ncond++
		if c.Invert {
			b.nturn++
		}
	}
	back := b.keepForUndo()
	k := int32(len(b.cords))
	b.cords = append(b.cords, cord{to: t, next: -1, power: c.Power, news: c.News, inv: c.Invert})
	b.ends = append(b.ends, cordEnd{from: f, nextIn: -1, last: k, lastIn: k, count: 1})
	b.cordOn = append(b.cordOn, false)
	if head := b.site[f].out; head < 0 {
		b.site[f].out = k
	} else {
		b.cords[b.ends[head].last].next = k
		b.ends[head].last = k
	}
	if head := b.in[t]; head < 0 {
		b.in[t] = k
	} else {
		b.ends[b.ends[head].lastIn].nextIn = k
		b.ends[head].lastIn = k
		b.ends[head].count++
	}
	if c.Power && b.reads(f) != c.Invert {
		b.setCord(k, true)
	}
	if c.Power && b.st[t].kind == Gate {
		b.st[t].nin++
	}
	return b.settleEdit(back)
}

// maxCordsTold refuses a power cord that the table of a told kind has no room for.
func (b *Bench) maxCordsTold(t int32, c Cord) error {
	if b.st[t].kind != Told || !c.Power {
		return nil
	}
	k, n := b.spec(t), 0
	if k.EverConducts() {
		return fmt.Errorf("a %s conducts in some state, so only cords that carry news alone can end there", k.Name)
	}
	for i := b.in[t]; i >= 0; i = b.ends[i].nextIn {
		if b.cords[i].power {
			n++
		}
	}
	if n >= MaxSpecCord {
		return fmt.Errorf("%d power cords end there already; that is the most for a kind of one's own", MaxSpecCord)
	}
	return nil
}

// Unpatch takes away all cords from one part to another and returns how many there were.
func (b *Bench) Unpatch(from, to ID) (removed int, err error) {
	f, err := b.partSite(from)
	if err != nil {
		return 0, err
	}
	t, err := b.partSite(to)
	if err != nil {
		return 0, err
	}
	b.own()
	back := b.keepForUndo()
	for k := b.site[f].out; k >= 0; {
		next := b.cords[k].next
		if b.cords[k].to == t {
			b.cutCord(k)
			removed++
		}
		k = next
	}
	return removed, b.settleEdit(back)
}

// cutCord takes one cord away.
func (b *Bench) cutCord(k int32) {
	if b.cordOn[k] {
		b.setCord(k, false)
	}
	c, e := &b.cords[k], &b.ends[k]
	c.gone = true

	prev := int32(-1)
	for i := b.site[e.from].out; i != k; i = b.cords[i].next {
		prev = i
	}
	head := &b.site[e.from].out
	last := b.ends[*head].last
	if last == k {
		last = prev
	}
	if prev < 0 {
		*head = c.next
	} else {
		b.cords[prev].next = c.next
	}
	if *head >= 0 {
		b.ends[*head].last = last
	}

	prev = -1
	for i := b.in[c.to]; i != k; i = b.ends[i].nextIn {
		prev = i
	}
	head = &b.in[c.to]
	last = b.ends[*head].lastIn
	count := b.ends[*head].count - 1
	if last == k {
		last = prev
	}
	if prev < 0 {
		*head = e.nextIn
	} else {
		b.ends[prev].nextIn = e.nextIn
	}
	if *head >= 0 {
		b.ends[*head].lastIn, b.ends[*head].count = last, count
	}
	b.countInputs(c.to)
}

// Cords lists the cords in the order in which they were made.
func (b *Bench) Cords() []Patched {
	var all []Patched
	for k, c := range b.cords {
		if !c.gone {
			all = append(all, Patched{b.id[b.ends[k].from], b.id[c.to], Cord{Power: c.power, News: c.news, Invert: c.inv}})
		}
	}
	return all
}
