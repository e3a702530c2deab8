package expand

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"pulsewright/builtins/observe"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// What send and read of a design go by. That a machine goes on as it does shows nothing of a read that asks how large it is, or that
// rounds away what drifts apart; so it is traced what they look at.

// port is a probe that read looked at, and that saw something.
type port struct {
	slab   int         // where it is
	cell   engine.Cell // in its slice
	looked observe.Looked
	edges  []when
}

// ports lists what read looked at, in the order in which the rig holds it.
func (s slicer) ports(t *trial.Rigged) []port {
	var ps []port
	for _, st := range t.Probes {
		p := st.Probe
		seen := p.LookedAt()
		if seen == 0 {
			continue
		}
		at := p.Target().Cell
		if p.Target().ID != 0 {
			at, _ = t.Bench.CellOf(p.Target().ID)
		}
		k := s.of(at)
		port := port{slab: k, cell: s.local(at, k), looked: seen}
		for _, e := range p.Edges() {
			port.edges = append(port.edges, when{int32(e.At.Tick), int32(e.At.Step)})
		}
		if len(port.edges) > 0 {
			ps = append(ps, port)
		}
	}
	return ps
}

// drift compares what read looked at in machines that have more and more slices, for numbers that are by more larger each time. why is
// "" if it sees the same each time: what it looks at may come later as a whole, or by a step or a tick a number, if it only looks at that.
func drift(runs [3][]port, more int) (why string, by when) {
	for run := range runs {
		if len(runs[run]) != len(runs[0]) {
			return "read sees pulses at more places, or at fewer, in a larger machine", by
		}
	}
	fits := func(d when) bool {
		n := int32(more)
		return d == when{} || n > 0 && (d == when{0, n} || d == when{0, -n} || d == when{n, 0} || d == when{-n, 0})
	}
	for i, p := range runs[0] {
		q, r := runs[1][i], runs[2][i]
		if p.cell != q.cell || q.cell != r.cell || len(p.edges) != len(q.edges) || len(q.edges) != len(r.edges) || p.looked != q.looked || q.looked != r.looked {
			return "what read sees is not the same in a larger machine", by
		}
		if p.slab-q.slab != q.slab-r.slab {
			return "read looks at another slice in a larger machine", by
		}
		for j := range p.edges {
			later := q.edges[j].sub(p.edges[j])
			if later != r.edges[j].sub(q.edges[j]) {
				return "what read looks at is delayed unevenly by more slices", by
			}
			if p.looked&observe.AtInstants != 0 && !fits(later) {
				return "read looks at an instant that comes later", later
			}
			if d := later.sub(q.edges[0].sub(p.edges[0])); p.looked&observe.AtWidth != 0 && !fits(d) {
				return "the edges that read looks at drift apart", d
			}
		}
	}
	return "", by
}

func (d when) String() string {
	switch {
	case d.ticks == 0:
		return say.Count(int(d.steps), "step")
	case d.steps == 0:
		return say.Count(int(d.ticks), "tick")
	}
	return fmt.Sprintf("%s and %s", say.Count(int(d.ticks), "tick"), say.Count(int(d.steps), "step"))
}

// Words that send and read may use: what they give does not go by the size.
var (
	sizelessSend = []string{"press", "release", "fire", "nudge", "fill", "now", "cell", "part", "local"}
	sizelessRead = []string{"state", "cell", "part", "local"}
)

// asks notes which words a function uses that may go by the size.
func asksOf(r *trial.Runner, free []string, note *string) (stop func()) {
	r.Env.Asks = func(word string) {
		if *note == "" && !slices.Contains(free, strings.TrimPrefix(word, "frame.")) {
			*note = word
		}
	}
	return func() { r.Env.Asks = nil }
}

// sizedRig is a struct of a rig in which some values go by the size of the machine: touched is told which of them is looked at.
type sizedRig struct {
	*starlarkstruct.Struct
	way     string
	ways    map[string]bool
	touched *string
}

var _ starlark.HasAttrs = sizedRig{}

// Attr reads an attribute, and takes down if it goes by the size.
func (w sizedRig) Attr(name string) (starlark.Value, error) {
	v, err := w.Struct.Attr(name)
	way := w.way + "." + name
	if w.ways[way] {
		*w.touched = way
	}
	if s, ok := v.(*starlarkstruct.Struct); ok {
		return sizedRig{s, way, w.ways, w.touched}, err
	}
	return v, err
}

// AttrNames lists the attributes: if some are there at some sizes only, that goes by the size.
func (w sizedRig) AttrNames() []string {
	for _, way := range slices.Sorted(maps.Keys(w.ways)) {
		if name, ok := strings.CutPrefix(way, w.way+"."); ok && !strings.ContainsAny(name, ".[") {
			*w.touched = way
		}
	}
	return w.Struct.AttrNames()
}

// String is all that it holds.
func (w sizedRig) String() string {
	*w.touched = w.way
	return w.Struct.String()
}
