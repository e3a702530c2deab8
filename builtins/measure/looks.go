package measure

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"pulsewright/builtins"
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
	looked builtins.Looked
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
			if p.looked&builtins.AtInstants != 0 && !fits(later) {
				return "read looks at an instant that comes later", later
			}
			if d := later.sub(q.edges[0].sub(p.edges[0])); p.looked&builtins.AtWidth != 0 && !fits(d) {
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

// leaf is a plain value that a rig holds, by the way that leads to it.
type leaf struct {
	way   string
	value starlark.Value
	named bool // an attribute of a struct, so that one can see whether it is looked at
}

// leaves lists the plain values of a rig: numbers, texts and the like, no parts, cells, probes or frames.
func leaves(v starlark.Value) (all []leaf) {
	const deepest = 20 // what is held in many ways is listed for each
	builtins.WalkAll(v, func(h builtins.Held) bool {
		if _, cell := builtins.AsCell(h.Value); cell || h.Depth > deepest || h.Way == builtins.Usual || h.Way == builtins.Receiver {
			return false
		}
		if builtins.Plain(h.Value) {
			all = append(all, leaf{way(h), h.Value, named(&h)})
		}
		switch v := h.Value.(type) {
		case *builtins.Row, *builtins.Sketch, *trial.Chained:
			return false
		case *builtins.Look: // what is looked at of it is not watched
			for _, a := range v.AttrNames() {
				if x, err := v.Attr(a); err == nil && a != "text" {
					for _, l := range leaves(x) {
						all = append(all, leaf{way(h) + "." + a + l.way, l.value, false})
					}
				}
			}
		case starlark.Iterable:
			if !builtins.Holding(v) { // a range, or the like
				i := 0
				for x := range starlark.Elements(v) {
					all = append(all, leaf{fmt.Sprintf("%s[%d]", way(h), i), x, false})
					i++
				}
			}
		}
		return true
	})
	return all
}

// named reports whether one comes to a value by attributes of structs alone.
func named(h *builtins.Held) bool { return h.In == nil || h.Way == builtins.Field && named(h.In) }

// way is how one comes to what a rig holds.
func way(h builtins.Held) string {
	if h.In == nil {
		return ""
	}
	to := way(*h.In)
	switch h.Way {
	case builtins.Field:
		return to + "." + h.Name
	case builtins.Key, builtins.Under:
		return fmt.Sprintf("%s[%s]", to, builtins.Show(h.Key))
	case builtins.Captured:
		return to + " of " + h.Name
	}
	return fmt.Sprintf("%s[%d]", to, h.Index)
}

// differing adds the ways to what two rigs do not both hold alike, and the first of those, by name, that cannot be watched.
func differing(a, b []leaf, ways map[string]bool, hidden *string) {
	if slices.EqualFunc(a, b, sameLeaf) {
		return
	}
	missing := func(a, b []leaf) {
		at := map[string]leaf{}
		for _, l := range a {
			at[l.way] = l
		}
		for _, l := range b {
			if m, ok := at[l.way]; ok && sameLeaf(l, m) {
				continue
			}
			ways[l.way] = true
			if !l.named && (*hidden == "" || l.way < *hidden) {
				*hidden = l.way
			}
		}
	}
	missing(a, b)
	missing(b, a)
}

func sameLeaf(a, b leaf) bool {
	return a.way == b.way && reflect.TypeOf(a.value) == reflect.TypeOf(b.value) && a.value.String() == b.value.String()
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

// String is all that it holds.
func (w sizedRig) String() string {
	*w.touched = w.way
	return w.Struct.String()
}
