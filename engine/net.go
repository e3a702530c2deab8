package engine

// Net is the conductors that hang together with one, and what could feed or part them.
type Net struct {
	Conductors int  // how many, itself included
	Feeds      []ID // parts that would feed it if they were on, pressed, held a token or had their slug in its seat
	Open       []ID // jacks beside it with a slug in them
	Openers    []ID // one for each of these: the shuttle whose slug that is; 0 if unknown
	Bridges    []ID // shuttles that would join it to something if their bridge sat in a seat beside it
	Whole      bool // all of it was looked at
}

// mostNet is how many conductors of a net are looked at.
const mostNet = 100_000

// decideConductor: a conductor acts on nothing; it is live or not.
func (n *Still) decideConductor(b *Bench, s int32, last deed) {
	st := &b.st[s]
	switch {
	case n.State.On || last.id != 0:
		n.Reason = Acted
	case !st.conducts():
		n.Reason = Opened
		if sh := b.sitter(s); sh >= 0 {
			n.By = b.id[sh]
		}
	default:
		n.Reason = Unfed
	}
	if n.State.On {
		return
	}
	var live int32
	n.Net, live = b.net(s)
	if live >= 0 && n.Reason == Unfed {
		n.Reason, n.By = TooFar, b.id[live]
	}
}

// net walks over the conductors that hang together with s, or would if s conducted; live is the first live one it comes
// to, or -1.
func (b *Bench) net(s int32) (net *Net, live int32) {
	net = &Net{Whole: true}
	live = -1
	seen := map[int32]bool{s: true}
	listed := map[ID]bool{}
	list := func(to *[]ID, id ID) bool {
		if listed[id] {
			return false
		}
		listed[id] = true
		*to = append(*to, id)
		return true
	}
	queue := []int32{s}
	for head := 0; head < len(queue); head++ {
		c := queue[head]
		if head == mostNet {
			net.Whole = false
			break
		}
		net.Conductors++
		if live < 0 && b.st[c].n > 0 {
			live = c
		}
		for k := b.in[c]; k >= 0; k = b.ends[k].nextIn {
			if b.cords[k].power && !b.cordOn[k] {
				list(&net.Feeds, b.id[b.ends[k].from])
			}
		}
		for _, d := range b.order(c) {
			m := b.site[c].nbr[d]
			if m < 0 || seen[m] {
				continue
			}
			st := &b.st[m]
			if st.conducts() {
				seen[m] = true
				queue = append(queue, m)
				continue
			}
			feeds := traits[st.kind].Feeds
			if k := b.Spec(b.id[m]); k != nil && k.EverAround() {
				feeds = FeedsAround
			} else if k != nil && k.EverFront() {
				feeds = FeedsFront
			}
			switch {
			case st.kind != Jack && (st.feedsAround() || b.frontOn(m)): // one that feeds already is too far away
			case feeds == FeedsAround, feeds == FeedsFront && b.site[m].facing == d^1:
				list(&net.Feeds, b.id[m])
			case st.kind == Jack:
				if list(&net.Open, b.id[m]) {
					opener := ID(0)
					if sh := b.sitter(m); sh >= 0 {
						opener = b.id[sh]
					}
					net.Openers = append(net.Openers, opener)
				}
			}
			for _, sh := range b.seatedBy(m) {
				switch {
				case b.heads(sh) == m && !b.st[sh].transit():
				case Slug(b.st[sh].op) == Feed:
					list(&net.Feeds, b.id[sh])
				case Slug(b.st[sh].op) == Bridge:
					list(&net.Bridges, b.id[sh])
				}
			}
		}
	}
	return net, live
}
