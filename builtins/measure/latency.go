package measure

import (
	"cmp"
	"fmt"
	"math"

	"pulsewright/builtins"
	"pulsewright/builtins/observe"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// later is how much later something is: in steps if both are in one tick. Else in ticks, and the step of its own tick in which it is: steps
// of two ticks are counted from two beginnings, and have no difference.
type later struct {
	ticks int64
	steps int
}

func between(from, to engine.Instant) later {
	if from.Tick == to.Tick {
		return later{0, to.Step - from.Step}
	}
	return later{to.Tick - from.Tick, to.Step}
}

func (s later) compare(o later) int {
	return cmp.Or(cmp.Compare(s.ticks, o.ticks), cmp.Compare(s.steps, o.steps))
}

func (s later) String() string {
	switch {
	case s.ticks == 0:
		return say.Count(s.steps, "step")
	case s.steps == 0:
		return say.Count(int(s.ticks), "tick")
	}
	return fmt.Sprintf("%s, to step %d", say.Count(int(s.ticks), "tick"), s.steps)
}

// to writes a range: "1 to 9 steps", "1 tick, to steps 4 to 11".
func (s later) to(o later) string {
	switch {
	case s == o:
		return s.String()
	case s.ticks != o.ticks || s.steps == 0 && s.ticks > 0:
		return s.String() + " to " + o.String()
	case s.ticks == 0:
		return fmt.Sprintf("%d to %v", s.steps, o)
	}
	return fmt.Sprintf("%v, to steps %d to %d", later{ticks: s.ticks}, s.steps, o.steps)
}

// rank orders later, for figures.
func (s later) rank() int64 { return s.ticks<<32 + int64(s.steps) }

// delays are what one number tells of how fast a machine is: from the edges of what send does to the edges these cause at what read
// looks at.
type delays struct {
	ports      []string // what read looks at that moved
	rise, fall delay
}

// delay is one edge and the stimulus that caused it.
type delay struct {
	seen  bool
	from  string // "the rise", "the fall", "the nudge"
	later later
	why   string // not seen: why
}

// delays sends a number to a machine at rest and finds its delays in the log.
func delaysOf(l *trial.Bay, r *trial.Runner, n starlark.Value, size int) (d delays, err error) {
	t, err := l.Pose(r, size)
	if err != nil {
		return d, err
	}
	b := t.Bench
	t.Dirty = true
	b.Record(engine.RecordAll)
	from := engine.EventID(b.EventCount()) + 1
	if err := t.Start(n); err != nil {
		return d, err
	}
	if _, err := t.Rest(); err != nil {
		return d, err
	}
	for _, p := range t.Probes {
		p.Probe.ForgetLooks()
	}
	if _, _, err := t.Says(n); err != nil {
		return d, err
	}
	var ports []*observe.Probe
	for _, p := range t.Probes {
		if p.Probe.LookedAt() != 0 {
			ports = append(ports, p.Probe)
		}
	}
	if len(ports) == 0 {
		d.rise.why = "read looks at no probe of the rig"
		d.fall.why = d.rise.why
		return d, nil
	}
	root := roots(b, from)
	forced := map[engine.ID]bool{} // what send itself moves is no port
	for id := range root {
		if root[id] == from+engine.EventID(id) {
			forced[b.Event(root[id]).ID] = true
		}
	}
	d.rise.why, d.fall.why = "nothing that read looks at rises", "nothing that read looks at falls"
	var rose, fell engine.EventID
	moves := 0 // ports that send itself moves
	for _, p := range ports {
		if id := p.Target().ID; id != 0 && forced[id] {
			moves++
			continue
		}
		moved := false
		for _, e := range p.Edges() {
			switch {
			case e.From < from || root[e.From-from] == 0:
			case e.Up:
				moved = true
				if rose == 0 || e.From < rose {
					rose = e.From
				}
			default:
				moved = true
				fell = max(fell, e.From)
			}
		}
		if moved {
			d.ports = append(d.ports, p.Name())
		}
	}
	switch {
	case moves == len(ports):
		d.rise.why = "read looks only at what send itself moves"
		d.fall.why = d.rise.why
	case moves > 0:
		const but = ", but for what send itself moves"
		d.rise.why, d.fall.why = d.rise.why+but, d.fall.why+but
	}
	d.rise.take(b, rose, root, from)
	d.fall.take(b, fell, root, from)
	return d, nil
}

// take measures from the stimulus that caused an event to the event.
func (d *delay) take(b *engine.Bench, id engine.EventID, root []engine.EventID, from engine.EventID) {
	if id == 0 {
		return
	}
	cause := b.Event(root[id-from])
	d.seen, d.later, d.from = true, between(cause.At(), b.Event(id).At()), "the rise"
	switch cause.What {
	case engine.Freed, engine.Off:
		d.from = "the fall"
	case engine.Nudged:
		d.from = "the nudge"
	}
}

// roots gives for every event from one on the stimulus it goes back to; 0: it came of how the machine was posed. The edges of a
// key and of a forced cell are stimuli, whether a hand or a timer lets go of it.
func roots(b *engine.Bench, from engine.EventID) []engine.EventID {
	root := make([]engine.EventID, b.EventCount()+1-int(from)+1)
	for id, e := range b.Events(from) {
		switch {
		case e.What == engine.Forced, e.What == engine.Freed, e.What == engine.Nudged, b.KindOf(e.ID) == engine.Key:
			root[id-from] = id
		case e.Cause >= from:
			root[id-from] = root[e.Cause-from]
		}
	}
	return root
}

// spread is the delays of one kind of edge over all numbers.
type spread struct {
	least, most later
	n           int
	from        map[string]bool
	why         string
}

func (s *spread) add(d delay) {
	switch {
	case !d.seen:
		if s.why == "" {
			s.why = d.why
		}
		return
	case s.n == 0:
		s.least, s.most, s.from = d.later, d.later, map[string]bool{}
	}
	if d.later.compare(s.least) < 0 {
		s.least = d.later
	}
	if d.later.compare(s.most) > 0 {
		s.most = d.later
	}
	s.n++
	s.from[d.from] = true
}

// figure shows the delays of an edge, named as the trade does: from the edge of the stimulus that caused it. usual is the stimulus
// from which it need not be said.
func (s *spread) figure(name, edge, usual string, all int, at string, of basis) figure {
	f := figure{name: name, better: -1, bare: true, basis: of}
	if s.n == 0 {
		f.how = s.why
		return f
	}
	f.value, f.number = s.least.to(s.most), s.most.rank()
	source := usual
	if !s.from[usual] || len(s.from) > 1 {
		source = ""
		for _, w := range []string{"the rise", "the fall", "the nudge"} {
			if s.from[w] {
				if source != "" {
					source += " or "
				}
				source += w
			}
		}
		f.value += ", from " + source
	}
	f.basis.from = "from " + source
	f.how = fmt.Sprintf("from %s of what send forces or presses to the %s it causes at %s, which read looks at; the least and the most of %s, each sent to a machine at rest", source, edge, at, say.Count(s.n, "number"))
	if s.n < all {
		f.how += fmt.Sprintf("; of the other %d: %s", all-s.n, s.why)
		f.basis.from += fmt.Sprintf(", %d of %d numbers", s.n, all)
		f.told = true
	}
	return f
}

// latencies measures how fast a machine is: its delays from edge to edge, and the time until it reads right.
func latenciesOf(l *trial.Bay, right []starlark.Value, size int, of basis) ([]figure, error) {
	all := make([]delays, len(right))
	err := l.Each("delays", len(right), func(r *trial.Runner, i int) (err error) {
		all[i], err = delaysOf(l, r, right[i], size)
		return err
	}, nil)
	if err != nil {
		return nil, err
	}
	var rise, fall spread
	var ports []string
	seen := map[string]bool{}
	for _, d := range all {
		rise.add(d.rise)
		fall.add(d.fall)
		for _, p := range d.ports {
			if !seen[p] {
				seen[p] = true
				ports = append(ports, p)
			}
		}
	}
	at := ""
	switch n := len(ports); {
	case n == 1:
		at = ports[0]
	case n > 1:
		at = fmt.Sprintf("%d ports, from %s to %s", n, ports[0], ports[n-1])
	}
	return []figure{
		rise.figure("delay of the rise", "first rise", "the rise", len(right), at, of),
		fall.figure("delay of the fall", "last fall", "the fall", len(right), at, of),
	}, nil
}

// reading is the time until a machine reads right, the most of all numbers.
func readingOf(l *trial.Bay, as []alone, size int, of basis) (figure, error) {
	f := figure{name: "time to a right reading", better: -1, bare: true, basis: of}
	if len(as) == 0 {
		f.how = "each number is read before it is sent as well as after"
		return f, nil
	}
	times := make([]later, len(as))
	unsteady := make([]bool, len(as))
	err := l.Each("right reading", len(as), func(r *trial.Runner, i int) (err error) {
		times[i].ticks = as[i].latency - 1
		times[i].steps, err = stepOf(l, r, as[i], size)
		unsteady[i] = times[i].steps < 0
		return err
	}, nil)
	if err != nil {
		return f, err
	}
	most := later{math.MinInt64, 0}
	for i, s := range times {
		if unsteady[i] {
			f.how = fmt.Sprintf("reading number %s changes what is read", builtins.Show(as[i].n))
			return f, nil
		}
		if s.compare(most) > 0 {
			most = s
		}
	}
	f.value, f.number = most.String(), most.rank()
	f.how = fmt.Sprintf("from the tick after send, step 0, to the step from which on it reads right, read after every step; the most of %s, each sent to a machine at rest", say.Count(len(as), "number"))
	return f, nil
}

// step is the step of the tick of its latency from which on a number reads right; -1 if looking on the way changes what is read.
func stepOf(l *trial.Bay, r *trial.Runner, a alone, size int) (int, error) {
	// at brings a machine to a step of that tick, reading after every step if asked to. more: the tick was not over.
	run := func(look func(t *trial.Rigged) (bool, error)) error {
		t, err := l.Pose(r, size)
		if err != nil {
			return err
		}
		if err := t.Start(a.n); err != nil {
			return err
		}
		b := t.Bench
		tick := b.Now().Tick + a.latency
		if err := t.Ticks(a.latency - 1); err != nil {
			return err
		}
		for {
			ok, err := b.Step(t.Env.Context(), t.Budget)
			if err != nil {
				return cmp.Or(t.Env.Stopped(), err)
			}
			if !ok || b.Now().Tick != tick {
				return nil
			}
			if more, err := look(t); err != nil || !more {
				return err
			}
		}
	}
	from := -1
	err := run(func(t *trial.Rigged) (bool, error) {
		_, ok, err := t.Says(a.n)
		if !ok {
			from = -1
		} else if from < 0 {
			from = t.Bench.Now().Step
		}
		return true, err
	})
	if err != nil || from < 0 {
		return -1, err
	}
	// Once more, with one look only: there it reads right, and a step earlier it does not.
	for _, at := range []int{from, from - 1} {
		says, looked := false, false
		err := run(func(t *trial.Rigged) (more bool, err error) {
			if t.Bench.Now().Step < at {
				return true, nil
			}
			looked = t.Bench.Now().Step == at
			if looked {
				_, says, err = t.Says(a.n)
			}
			return false, err
		})
		if err != nil {
			return -1, err
		}
		if looked && says != (at == from) {
			return -1, nil
		}
	}
	return from, nil
}
