package observe

import (
	"fmt"
	"sync"
	"sync/atomic"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Probe watches one place and tells the pulses that pass there. It reads the log, so it also knows what happened before
// it was made, as far as that was recorded.
type Probe struct {
	bench  *engine.Bench
	target engine.Target
	name   string
	frozen bool

	mu     sync.Mutex    // trials may look at a probe of the session
	looked atomic.Uint32 // what a script has looked at
	Sight
}

// Sight is what a probe has seen so far.
type Sight struct {
	From  engine.EventID
	next  engine.EventID // where to read on; 0: nothing read yet
	last  engine.Event   // the event before next, to notice that time was turned back
	edges []Edge

	live, forced bool // of a bare cell, at next
}

// Looked is what a script looks at of a probe.
type Looked uint32

const (
	AtAll      Looked = 1 << iota
	AtWidth           // how wide pulses are
	AtInstants        // when edges are
)

// Edge is a place becoming live (or on, out, lit), or the opposite.
type Edge struct {
	At   engine.Instant
	Up   bool
	From engine.EventID // the event that says so
}

var (
	_ starlark.HasAttrs = (*Probe)(nil)
	_ builtins.Aimed    = (*Probe)(nil)
)

// NewProbe watches a part or cell. The bench must record at least what is watched, or the probe sees nothing.
func NewProbe(b *engine.Bench, t engine.Target, name string) (*Probe, error) {
	if err := b.Watch(t); err != nil {
		return nil, err
	}
	return &Probe{bench: b, target: t, name: name, Sight: Sight{From: 1}}, nil
}

// Name is what the probe is called: its own name, else its target's.
func (p *Probe) Name() string {
	switch {
	case p.name != "":
		return p.name
	case p.target.ID != 0:
		return p.bench.Label(p.target.ID)
	}
	return fmt.Sprintf("cell %v", p.target.Cell)
}

// Target is what the probe watches.
func (p *Probe) Target() engine.Target { return p.target }

// Bench is where the probe watches.
func (p *Probe) Bench() *engine.Bench { return p.bench }

// Aim is where the probe watches, and what: given to a word, it stands for that.
func (p *Probe) Aim() (*engine.Bench, engine.Target) { return p.bench, p.target }

// GivenName is the name that was given for it, "" if none was.
func (p *Probe) GivenName() string { return p.name }

// On is the same probe on a copy of its bench on which nothing has run.
func (p *Probe) On(b *engine.Bench) *Probe {
	return &Probe{bench: b, target: p.target, name: p.name, Sight: Sight{From: 1}}
}

// Of is the same probe of something else on its bench; the probe itself, if that is no longer there.
func (p *Probe) Of(t engine.Target) *Probe {
	if q, err := NewProbe(p.bench, t, p.name); err == nil {
		return q
	}
	return p
}

// Used reports whether the probe has read any of the log.
func (p *Probe) Used() bool { return len(p.edges) > 0 }

// FrozenProbe is the error of a probe that is to be cleared and cannot be changed.
type FrozenProbe struct{ Name string }

func (e *FrozenProbe) Error() string {
	return "the probe " + e.Name + " is frozen: it belongs to a file that was loaded"
}

// Thaw lets a frozen probe be cleared again: the trial that owns it brings it back by its mark.
func (p *Probe) Thaw() { p.frozen = false }

// ProbeMark is where in the log a probe begins to look.
type ProbeMark struct {
	Probe *Probe
	From  engine.EventID
}

// Mark tells where the probe begins to look.
func (p *Probe) Mark() ProbeMark { return ProbeMark{p, p.From} }

// Reset brings the probe back to the mark: it has read nothing yet.
func (m ProbeMark) Reset() {
	m.Probe.Sight = Sight{From: m.From, edges: m.Probe.edges[:0]}
}

// LookedAt is what a script has looked at since forgetLooks.
func (p *Probe) LookedAt() Looked { return Looked(p.looked.Load()) }

func (p *Probe) ForgetLooks() { p.looked.Store(0) }

// Edges lists all edges seen, oldest first. The list is the probe's own.
func (p *Probe) Edges() []Edge {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.resume() <= engine.EventID(p.bench.EventCount()) {
		for id, e := range p.bench.Events(p.next) {
			p.next, p.last = id+1, e
			if p.target.ID != 0 && e.ID == p.target.ID || p.target.ID == 0 && builtins.InCells(p.bench, e.ID, []engine.Cell{p.target.Cell}) {
				p.follow(id, e)
			}
		}
	}
	return p.edges
}

// resume is the event to read on from: the first one, if time was turned back.
func (p *Probe) resume() engine.EventID {
	if p.next == 0 || engine.EventID(p.bench.EventCount())+1 < p.next || p.next > p.From && p.bench.Event(p.next-1) != p.last {
		p.next, p.edges, p.live, p.forced = p.From, nil, false, false
	}
	return p.next
}

// follow takes in an event of what is watched.
func (p *Probe) follow(id engine.EventID, e engine.Event) {
	up, ok := p.isEdge(e)
	if n := len(p.edges); ok && (n == 0 || p.edges[n-1].Up != up) {
		p.edges = append(p.edges, Edge{e.At(), up, id})
	}
}

// ReadAll has probes of parts of one bench read all its events in one go, so that each need not read them by itself. It waits for no
// probe: one that is at work, or that comes a second time, is left to read by itself.
func ReadAll(b *engine.Bench, probes []*Probe) {
	of := map[engine.ID][]*Probe{}
	var all []*Probe
	for _, p := range probes {
		if !p.mu.TryLock() {
			continue
		}
		defer p.mu.Unlock()
		if p.bench == b && p.target.ID != 0 && p.resume() == 1 {
			of[p.target.ID] = append(of[p.target.ID], p)
			all = append(all, p)
		}
	}
	if len(all) == 0 {
		return
	}
	var next engine.EventID
	var last engine.Event
	for id, e := range b.Events(1) {
		next, last = id+1, e
		for _, p := range of[e.ID] {
			p.follow(id, e)
		}
	}
	for _, p := range all {
		if next > 0 {
			p.next, p.last = next, last
		}
	}
}

// isEdge tells which events make or end a pulse: those of the state of a part. Of a bare cell it is being forced, or
// live by the bridge that sits there; a part that is forced is only fed.
func (p *Probe) isEdge(e engine.Event) (up, ok bool) {
	switch e.What {
	case engine.On, engine.Out, engine.Lit:
		return true, true
	case engine.Off, engine.Home, engine.Dark:
		return false, true
	case engine.Level:
		return e.Arg > 0, true
	case engine.Enters:
		return e.Arg&engine.ActiveState != 0, true
	case engine.Live, engine.Dead:
		p.live = e.What == engine.Live
		return p.live || p.forced, true
	case engine.Forced, engine.Freed:
		if p.bench.KindOf(e.ID) != engine.Bare {
			return false, false
		}
		p.forced = e.What == engine.Forced
		return p.live || p.forced, true
	}
	return false, false
}

// Pulses lists the pulses seen. A fall without a rise before it, of a place that was posed live, begins none.
func (p *Probe) Pulses() []Pulse {
	var ps []Pulse
	for _, e := range p.Edges() {
		switch {
		case e.Up:
			ps = append(ps, Pulse{Rise: e.At, of: p})
		case len(ps) > 0:
			ps[len(ps)-1].Fall, ps[len(ps)-1].Done = e.At, true
		}
	}
	return ps
}

// LastPulse is the last of Pulses, if there is any.
func (p *Probe) LastPulse() (last Pulse, ok bool) {
	es := p.Edges()
	n := len(es)
	switch {
	case n > 0 && es[n-1].Up:
		return Pulse{Rise: es[n-1].At, of: p}, true
	case n > 1: // rises and falls take turns
		return Pulse{Rise: es[n-2].At, Fall: es[n-1].At, Done: true, of: p}, true
	}
	return last, false
}

// current reports whether a pulse may be the doing of the last stimulus: it was not over when that was given.
func (p *Probe) current(pulse Pulse) bool {
	return !pulse.Done || p.bench.LastGiven().Before(pulse.Fall)
}

// Looks takes down what a script looks at.
func (p *Probe) Looks(at Looked) { p.looked.Or(uint32(at)) }

func (p *Probe) String() string {
	builtins.InquiryOf(p.bench).Want(builtins.AskedPlace)
	builtins.InquiryOf(p.bench).Look()
	p.Looks(AtAll | AtInstants)
	last := "no pulse yet"
	if ps := p.Pulses(); len(ps) > 0 {
		last = fmt.Sprintf("%s, the last a %v", say.Count(len(ps), "pulse"), ps[len(ps)-1])
	}
	return fmt.Sprintf("probe %s: %s", p.Name(), last)
}

func (p *Probe) Type() string         { return "probe" }
func (p *Probe) Freeze()              { p.frozen = true }
func (p *Probe) Truth() starlark.Bool { return starlark.True }
func (p *Probe) Hash() (uint32, error) {
	return 0, fmt.Errorf("a probe cannot be a key of a dict")
}

// AttrNames lists the attributes.
func (p *Probe) AttrNames() []string {
	return []string{"clear", "edges", "name", "pulses", "target", "width", "widths"}
}

// Attr reads an attribute.
func (p *Probe) Attr(name string) (starlark.Value, error) {
	builtins.InquiryOf(p.bench).Look()
	switch name {
	case "pulses":
		p.Looks(AtAll)
	case "width", "widths":
		p.Looks(AtAll | AtWidth)
	case "edges":
		p.Looks(AtAll | AtInstants)
	}
	switch name {
	case "name":
		if p.name == "" {
			builtins.InquiryOf(p.bench).Want(builtins.AskedPlace)
		}
		return starlark.String(p.Name()), nil
	case "target":
		if p.target.ID == 0 {
			builtins.InquiryOf(p.bench).Want(builtins.AskedPlace)
			return builtins.CellValue(p.target.Cell), nil
		}
		return builtins.Part{Bench: p.bench, ID: p.target.ID}, nil
	case "pulses":
		var vs []starlark.Value
		for _, pulse := range p.Pulses() {
			vs = append(vs, pulse)
		}
		return starlark.NewList(vs), nil
	case "edges":
		var vs []starlark.Value
		for _, e := range p.Edges() {
			if ev := builtins.NewEvent(p.bench, e.From); ev != nil {
				vs = append(vs, ev)
			}
		}
		return starlark.NewList(vs), nil
	case "width":
		if last, ok := p.LastPulse(); ok && p.current(last) {
			return last.WidthValue(), nil
		}
		return starlark.None, nil
	case "widths":
		var vs []starlark.Value
		for _, pulse := range p.Pulses() {
			vs = append(vs, pulse.WidthValue())
		}
		return starlark.NewList(vs), nil
	case "clear":
		return starlark.NewBuiltin("clear", p.clear), nil
	}
	return nil, nil
}

// clear forgets what the probe has seen so far.
func (p *Probe) clear(_ *starlark.Thread, _ *starlark.Builtin, args starlark.Tuple, kwargs []starlark.Tuple) (starlark.Value, error) {
	if len(args)+len(kwargs) > 0 {
		return nil, fmt.Errorf("probe.clear: it takes no arguments")
	}
	if p.frozen {
		return nil, fmt.Errorf("probe.clear: %w", &FrozenProbe{p.Name()})
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.From, p.next, p.edges = engine.EventID(p.bench.EventCount())+1, 0, nil
	return starlark.None, nil
}

func probeWords() []builtins.Entry {
	pulsing := builtins.KindsThat(func(t engine.Trait) bool { return t.Shows.Pulses() }, " or ")
	return []builtins.Entry{{Name: "probe", Topic: "seeing", Sentence: "Watches a part or cell and tells the pulses there: from going on (out, live, lit) to going off; also what was recorded before.",
		Params: []builtins.Param{
			{Name: "target", Type: "part", Doc: "a part, its name, or a cell; " + pulsing + ", or the seat of a slug"},
			{Name: "name", Type: "string", Default: "None", Optional: true, Doc: "what diagrams and tables call it"}},
		Returns: "a probe with .pulses (each with .rise .fall .steps .ticks .width), .edges (events), .widths of all pulses, .width of the last one, None if that was over before the last stimulus was given: the place stayed dead since; .clear(); a width is a number of steps if both edges are in one tick, else (ticks, steps); None while it lasts",
		Example: "w = wire((0, 0), (9, 0))\np = probe(w.last)\nfire((0, 0), 10)\nrun()\nexpect_equal(p.width, 10)\nexpect_equal(p.pulses[0].rise.step, 0)",
		See:     []string{"events", "fire", "record"}, Call: newProbe}}
}

func newProbe(c *builtins.Call) (starlark.Value, error) {
	t, name := c.Target("target"), c.Str("name")
	if name != "" {
		c.CheckName("name", name)
	}
	if c.Err != nil {
		return nil, c.Err
	}
	b := c.Env.Bench
	if t.ID != 0 {
		if k := b.KindOf(t.ID); !k.Trait().Shows.Pulses() {
			return nil, c.Bad("target", builtins.Describe(b, t.ID), "a part that goes on and off; what "+say.Article(k.String())+" does is in events(...)")
		}
	}
	if b.Recording() == engine.RecordNone {
		b.Record(engine.RecordSome)
	}
	p, err := NewProbe(b, t, name)
	if err != nil {
		return nil, c.Wrap(err)
	}
	return p, nil
}
